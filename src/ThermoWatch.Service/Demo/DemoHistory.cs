using System.Buffers.Binary;
using System.Collections.Concurrent;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Service.Demo;

/// <summary>
/// The demo's past: the life of the very machine that the demo then reads over the wire. The numbers are those that its
/// registers held, so the record cannot tell the difference.
/// </summary>
internal sealed class DemoHistory
{
    private const int LongestPoint = 4;
    private readonly ConcurrentQueue<InstrumentFrame> _frames = new();

    /// <summary>Lets a machine live until some of its runs are over and the next one has gone on for a while, and keeps what it said.</summary>
    public static DemoHistory Live(SimulatedCell cell, int runs, double secondsOfTheNext)
    {
        DemoHistory history = new();
        while (cell.Truth.RunNumber <= runs || cell.Truth.RunTime.TotalSeconds < secondsOfTheNext)
        {
            cell.AdvanceTo(cell.MachineTime + SimulatedCell.SamplePeriod);
            history.Keep(cell);
        }

        return history;
    }

    /// <summary>Keeps what a machine says now. It goes on after <see cref="Live"/> until it is first asked over the wire.</summary>
    public void Keep(SimulatedCell cell) => _frames.Enqueue(cell.Instruments);

    /// <summary>What it said up to a moment, as scans of the cell's only device. Nothing is kept of what has been handed out.</summary>
    /// <param name="points">What is read from the device, in the order of its scans.</param>
    /// <param name="born">Moment at which its machine time was zero.</param>
    /// <param name="until">First moment that is no longer wanted; may come to be known on the way.</param>
    public IEnumerable<EngineInput> Scans(IReadOnlyList<ModbusPoint> points, Timestamp born, Func<Timestamp?> until)
    {
        while (_frames.TryDequeue(out InstrumentFrame? frame) && !(born + frame.SampledAt >= until()))
        {
            yield return new ScanInput(Scan(points, born + frame.SampledAt, frame));
        }
    }

    private static RawScan Scan(IReadOnlyList<ModbusPoint> points, Timestamp time, InstrumentFrame frame)
    {
        var values = new double[points.Count];
        var qualities = new SignalQuality[points.Count];
        Span<ushort> registers = stackalloc ushort[LongestPoint];
        Span<byte> bytes = stackalloc byte[2 * LongestPoint];
        for (int i = 0; i < values.Length; i++)
        {
            ModbusPoint point = points[i];
            if (!frame.TryRead(TableOf(point.Table), point.Address, registers[..point.Length]))
            {
                throw new InvalidOperationException($"The simulated machine has no register for {point.Id}.");
            }

            for (int word = 0; word < point.Length; word++)
            {
                BinaryPrimitives.WriteUInt16BigEndian(bytes[(2 * word)..], registers[word]);
            }

            values[i] = point.Table.IsBits()
                ? registers[0]
                : RegisterDecoder.DecodeForScan(bytes, point.Type, point.WordOrder, point.Bit, point.BitCount, out qualities[i]);
        }

        return new RawScan(0, time, values, qualities);
    }

    private static RegisterTable TableOf(ModbusTable table) => table switch
    {
        ModbusTable.Holding => RegisterTable.Holding,
        ModbusTable.Input => RegisterTable.Input,
        ModbusTable.Discrete => RegisterTable.Discrete,
        _ => throw new InvalidOperationException("The simulated machine has no coils."),
    };
}
