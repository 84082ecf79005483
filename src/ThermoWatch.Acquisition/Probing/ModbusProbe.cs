using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Probes one Modbus device, and tries the usual mistakes where it does not answer as it should.</summary>
/// <param name="options">The device.</param>
/// <param name="client">Makes a client; on a serial line with the settings given.</param>
/// <param name="time">Clock of the deadlines.</param>
/// <param name="answers">How many answers to time.</param>
/// <param name="progress">Told what it is doing.</param>
internal sealed class ModbusProbe(
    ModbusDeviceOptions options, Func<SerialSettings, IModbusClient> client, TimeProvider time, int answers, IProgress<ProbeProgress>? progress = null)
{
    /// <summary>Objects of one identification come in several answers if they are long; more than these nobody has.</summary>
    private const int MostPages = 8;

    /// <summary>So long a serial line is listened to before anything is asked: a second master polls more often than that.</summary>
    private static readonly TimeSpan Listening = TimeSpan.FromSeconds(1);

    private static readonly SerialSettings NoLine = new() { Port = "" };

    private readonly List<string> _findings = [];
    private readonly ResponseTimes _times = new();

    public ProbeReport Run(CancellationToken stop)
    {
        SerialSettings line = (options as ModbusRtuDeviceOptions)?.Serial ?? NoLine;
        using IModbusClient wire = client(line);
        using CancellationTokenRegistration abort = stop.Register(wire.Abort);
        Tell($"connecting to {wire.Name}", 0, 1);
        LinkResult opened = wire.Open(options.ConnectTimeout);
        if (opened.Status != LinkStatus.Done)
        {
            _findings.Add(opened.Reason ?? "No connection could be made.");
            return Report(wire.Name, [], null);
        }

        if (wire is ModbusRtuClient rtu) Listen(rtu);
        List<ProbePoint> points = [];
        foreach (ModbusPoint point in options.Points)
        {
            if (stop.IsCancellationRequested) break;
            Tell($"reading {point.Id}", points.Count, options.Points.Count);
            points.Add(Read(wire, point));
        }

        string? identification = _times.Count > 0 && !stop.IsCancellationRequested ? Identify(wire) : null;
        if (_times.Count > 0) Repeat(wire, stop);
        if (wire.Disturbance is { } others) Say(others);
        wire.Close();
        if (wire is VisitingClient visit) TellOfVisit(visit, line != NoLine);
        else if (_times.Count == 0 && line != NoLine) TryOtherSettings(line, stop);
        return Report(wire.Name, points, identification);
    }

    private void Listen(ModbusRtuClient wire)
    {
        Tell("listening", 0, 1);
        ReadOnlySpan<byte> heard = wire.Listen(Listening);
        if (!heard.IsEmpty && wire.Disturbance is null)
            Say($"{heard.Length} bytes came in {Listening.TotalSeconds:0} s though nobody asked ({Convert.ToHexString(heard[..Math.Min(heard.Length, 16)])}): another master, a device that talks unasked, a wrong baud rate, or noise. Find out which first.");
    }

    private ProbePoint Read(IModbusClient wire, ModbusPoint point)
    {
        ModbusExchange exchange = Ask(wire, new ReadBlock(point.Table, (ushort)point.Address, point.Length));
        if (exchange.Status != ExchangeStatus.Ok)
        {
            byte code = exchange.ExceptionCode;
            bool refused = exchange.Status == ExchangeStatus.Refused;
            Say($"Point '{point.Id}': {(refused ? ModbusExceptions.Meaning(code) : exchange.Reason)}.");
            if (refused) TryNeighbours(wire, point, code);
            QualityReason why = refused ? QualityReason.Refused : exchange.Status == ExchangeStatus.Garbled ? QualityReason.Garbled : QualityReason.NoCommunication;
            return new(point.Id, ModbusNumbers.Where(point), "", null, SignalQuality.Bad(why).ToString(), new Dictionary<string, double?>());
        }

        string raw = Convert.ToHexString(exchange.Data);
        if (point.Table.IsBits()) return new(point.Id, ModbusNumbers.Where(point), raw, exchange.Data[0] & 1, SignalQuality.Good.ToString(), new Dictionary<string, double?>());
        double value = RegisterDecoder.DecodeForScan(exchange.Data, point.Type, point.WordOrder, point.Bit, point.BitCount, out SignalQuality quality);
        if (quality == SignalQuality.Good && point.Plausible is { } range && !range.Holds(value))
        {
            quality = SignalQuality.Bad(QualityReason.OutOfRange);
            Say($"Point '{point.Id}' reads {value:G6}, outside its plausible range {range.Lowest:G6} to {range.Highest:G6}. Check address, type and word order, or the range.");
        }

        Dictionary<string, double?> orders = ModbusNumbers.InAllOrders(exchange.Data, point);
        if (ModbusNumbers.LikelierOrder(point, orders) is { } likelier)
            Say($"Point '{point.Id}' reads {value:G6} as {point.WordOrder.ToString().ToUpperInvariant()}, but {orders[likelier]:G6} as {likelier}: the words are probably swapped. Compare with the device's display.");
        return new(point.Id, ModbusNumbers.Where(point), raw, double.IsNaN(value) ? null : value, quality.ToString(), orders);
    }

    private void TryNeighbours(IModbusClient wire, ModbusPoint point, byte code)
    {
        if (code == ModbusExceptions.IllegalDataAddress && point.Address > 0
            && Ask(wire, new ReadBlock(point.Table, (ushort)(point.Address - 1), point.Length)).Status == ExchangeStatus.Ok)
            Say($"Point '{point.Id}': address {point.Address} is refused, but {point.Address - 1} answers. The manual probably counts from 1: lower the address by one.");
        if (code is not (ModbusExceptions.IllegalFunction or ModbusExceptions.IllegalDataAddress) || point.Table.IsBits()) return;
        ModbusTable other = point.Table == ModbusTable.Holding ? ModbusTable.Input : ModbusTable.Holding;
        if (Ask(wire, new ReadBlock(other, (ushort)point.Address, point.Length)).Status == ExchangeStatus.Ok)
            Say($"Point '{point.Id}': the {options.Points[0].Table} table refuses, but the {other} table answers at the same address. Set the table to {other}.");
    }

    private void TryOtherSettings(SerialSettings line, CancellationToken stop)
    {
        ModbusPoint point = options.Points[0];
        int tried = 0;
        foreach (int baud in (int[])[19200, 9600, 38400, 57600, 115200, 4800, 2400])
        {
            foreach ((SerialParity parity, int stopBits) in ((SerialParity, int)[])[(SerialParity.Even, 1), (SerialParity.None, 1), (SerialParity.None, 2), (SerialParity.Odd, 1)])
            {
                SerialSettings other = line with { Baud = baud, Parity = parity, StopBits = stopBits };
                if (other == line || stop.IsCancellationRequested) continue;
                Tell($"trying {baud} Bd, parity {parity}, {stopBits} stop bit(s)", tried++, 27);
                using IModbusClient wire = client(other);
                if (wire.Open(options.ConnectTimeout).Status != LinkStatus.Done) continue;
                if (Ask(wire, new ReadBlock(point.Table, (ushort)point.Address, point.Length)).Status is not (ExchangeStatus.Ok or ExchangeStatus.Refused)) continue;
                Say($"The device answers at {baud} Bd, parity {parity}, {stopBits} stop bit(s), not at the settings given. Use these.");
                return;
            }
        }
    }

    private void Repeat(IModbusClient wire, CancellationToken stop)
    {
        ReadPlan plan = ReadPlan.For(options.Points, options.MaxGapRegisters, options.MaxRegisters);
        for (int i = 0; _times.Count < answers && i < 2 * answers && !stop.IsCancellationRequested; i++)
        {
            Tell("timing answers", (int)_times.Count, answers);
            Ask(wire, plan.Blocks[i % plan.Blocks.Length]);
        }

        if (wire.Counters.Unmatched > 0 && wire.Disturbance is null) Say("Replies came that answer no request of ours. Another master may be on the line, or the time-out is too short.");
        if (wire.Counters.Echoes > 0) Say("The line sends our own requests back (a transceiver that hears itself). They are stripped; switching the echo off halves the load.");
        if (_times.SuggestedTimeout is { } suggested && suggested > options.Timeout)
            Say($"Answers take up to {_times.QuantileMilliseconds(0.999):0.#} ms: raise the time-out to {suggested.TotalMilliseconds:0} ms.");
    }

    private string? Identify(IModbusClient wire)
    {
        List<string> pages = [];
        for (int first = 0, page = 0; page < MostPages; page++)
        {
            ModbusExchange exchange = wire.Exchange((byte)options.Unit, ModbusRequest.Identify(1, (byte)first), options.Timeout);
            if (exchange.Status != ExchangeStatus.Ok) break;
            pages.Add(ModbusNumbers.Identification(exchange.Data));
            if (ModbusNumbers.NextIdentification(exchange.Data) is not { } next || next <= first) break;
            first = next;
        }

        return pages.Count == 0 ? null : string.Join(", ", pages.Where(p => p.Length > 0));
    }

    private ModbusExchange Ask(IModbusClient wire, ReadBlock block)
    {
        ModbusExchange exchange = wire.Exchange((byte)options.Unit, block.ToRequest(), options.Timeout);
        if (exchange.Status is ExchangeStatus.Ok or ExchangeStatus.Refused) _times.Add(time.GetElapsedTime(exchange.SentAt, exchange.EndedAt));
        return exchange;
    }

    // A line that is polled keeps its settings: other devices are on it.
    private void TellOfVisit(VisitingClient visit, bool serial)
    {
        if (visit.CutShort) Say($"The polls of the line left answers less time than the time-out of {options.Timeout.TotalMilliseconds:0} ms. A slow device may look silent here: give the line's devices longer periods to be sure.");
        if (_times.Count == 0 && serial) Say("Other line settings were not tried, because the service polls devices on this line.");
    }

    private void Tell(string step, int done, int of) => progress?.Report(new ProbeProgress(step, done, of));

    private void Say(string finding)
    {
        if (!_findings.Contains(finding)) _findings.Add(finding);
    }

    private ProbeReport Report(string wire, IReadOnlyList<ProbePoint> points, string? identification) => new()
    {
        Device = options.Id,
        Wire = wire,
        Reached = _times.Count > 0,
        Identification = identification,
        Points = points,
        Answers = _times.Count,
        MedianMilliseconds = _times.Count > 0 ? _times.QuantileMilliseconds(0.5) : null,
        SlowestMilliseconds = _times.Count > 0 ? _times.QuantileMilliseconds(0.999) : null,
        Histogram = [.. _times.Buckets.Select(b => new ProbeBucket(b.UpToMilliseconds, b.Count))],
        SuggestedTimeoutMilliseconds = _times.SuggestedTimeout?.TotalMilliseconds,
        Findings = _findings,
    };
}
