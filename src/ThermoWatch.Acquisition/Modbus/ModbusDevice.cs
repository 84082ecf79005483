using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Reads the points of one unit through a client that others may share.</summary>
internal sealed class ModbusDevice(int index, ModbusDeviceOptions configured, IModbusClient client) : IBusDevice, IBlockReader
{
    private volatile ModbusDeviceOptions _options = configured;
    private ModbusDeviceOptions _planned = configured;
    private ReadPlan _plan = ReadPlan.For(configured.Points, configured.MaxGapRegisters, configured.MaxRegisters);
    private readonly List<int> _asked = [], _open = [];
    private double[] _values = [];
    private SignalQuality[] _qualities = [];
    private long _sentAt, _endedAt;
    private bool _answered, _garbled, _lost;
    private int _splitBlock;
    private string? _reason;

    public int Index => index;

    public DeviceOptions Options => _options;

    public void Change(DeviceOptions changed) => _options = (ModbusDeviceOptions)changed;

    public ScanResult Scan()
    {
        Plan();
        _values = new double[_options.Points.Count];
        _qualities = new SignalQuality[_options.Points.Count];
        Array.Fill(_values, double.NaN);
        Array.Fill(_qualities, SignalQuality.Bad(QualityReason.NoCommunication));
        (_answered, _garbled, _lost, _splitBlock, _reason, _sentAt) = (false, false, false, -1, null, 0);

        _open.Clear();
        _open.AddRange(Enumerable.Range(0, _plan.Blocks.Length));
        for (int attempt = 0; attempt <= _options.Retries && _open.Count > 0 && !_lost; attempt++) Ask();

        // Only between scans: the block numbers of this one must hold while its replies come in.
        if (_splitBlock >= 0) _plan = _plan.Split(_splitBlock) ?? _plan;
        ScanStatus status = _answered ? ScanStatus.Answered
            : _lost ? ScanStatus.LinkLost
            : _garbled ? ScanStatus.Garbled : ScanStatus.Silent;
        return new ScanResult(status, _values, _qualities, _sentAt, _endedAt, status == ScanStatus.Answered ? null : Why(status));
    }

    public void OnBlock(int at, in ModbusExchange exchange)
    {
        int block = _asked[at];
        if (_sentAt == 0) _sentAt = exchange.SentAt;
        switch (exchange.Status)
        {
            case ExchangeStatus.Ok:
                Take(block, exchange);
                Decode(block, exchange.Data);
                break;
            case ExchangeStatus.Refused when ModbusExceptions.IsUnitSilent(exchange.ExceptionCode):
                _reason = ModbusExceptions.Meaning(exchange.ExceptionCode);
                break;
            case ExchangeStatus.Refused:
                Take(block, exchange);
                Mark(block, exchange.ExceptionCode == ModbusExceptions.ServerDeviceFailure ? QualityReason.DeviceFault : QualityReason.Refused);
                if (exchange.ExceptionCode is ModbusExceptions.IllegalDataAddress or ModbusExceptions.IllegalDataValue) _splitBlock = block;
                break;
            case ExchangeStatus.Garbled:
                _garbled = true;
                _reason = exchange.Reason;
                Mark(block, QualityReason.Garbled);
                break;
            case ExchangeStatus.Closed:
                _lost = true;
                _reason = exchange.Reason;
                break;
        }
    }

    /// <summary>Only between scans, and only for a new gap: what a plan has learned of holes that the device refuses is worth keeping.</summary>
    private void Plan()
    {
        ModbusDeviceOptions now = _options;
        if (now.MaxGapRegisters != _planned.MaxGapRegisters) _plan = ReadPlan.For(now.Points, now.MaxGapRegisters, now.MaxRegisters);
        _planned = now;
    }

    private void Ask()
    {
        _asked.Clear();
        _asked.AddRange(_open);
        Span<ReadBlock> blocks = stackalloc ReadBlock[Math.Min(_asked.Count, 64)];
        if (_asked.Count > blocks.Length) blocks = new ReadBlock[_asked.Count];
        for (int i = 0; i < blocks.Length; i++) blocks[i] = _plan.Blocks[_asked[i]];
        client.ReadBlocks((byte)_options.Unit, blocks, _options.Timeout, this);
    }

    private void Take(int block, in ModbusExchange exchange)
    {
        _answered = true;
        _endedAt = exchange.EndedAt;
        _open.Remove(block);
    }

    private void Decode(int block, ReadOnlySpan<byte> data)
    {
        ReadBlock asked = _plan.Blocks[block];
        foreach (int i in _plan.PointsOfBlock[block])
        {
            ModbusPoint point = _options.Points[i];
            int at = point.Address - asked.Address;
            if (asked.Table.IsBits())
                (_values[i], _qualities[i]) = ((data[at / 8] >> (at % 8)) & 1, SignalQuality.Good);
            else
                _values[i] = RegisterDecoder.DecodeForScan(data[(2 * at)..], point.Type, point.WordOrder, point.Bit, point.BitCount, out _qualities[i]);
        }
    }

    private void Mark(int block, QualityReason reason)
    {
        foreach (int i in _plan.PointsOfBlock[block]) _qualities[i] = SignalQuality.Bad(reason);
    }

    private string Why(ScanStatus status) => status switch
    {
        ScanStatus.Silent when _reason is null =>
            $"Unit {_options.Unit} at {client.Name} does not answer within {_options.Timeout.TotalSeconds:0.###} s. Check its power, its unit number and its line settings.",
        ScanStatus.Silent => $"Unit {_options.Unit} at {client.Name}: {_reason}.",
        ScanStatus.Garbled => $"Unit {_options.Unit} at {client.Name} answers wrongly: {_reason}.",
        _ => _reason ?? $"{client.Name} is not connected.",
    };
}
