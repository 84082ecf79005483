using System.Buffers.Binary;
using System.Security.Cryptography;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;
using ThermoWatch.Tests;

namespace ThermoWatch.Simulator.Tests.Scenarios;

/// <summary>Each scenario file, read twice and played twice.</summary>
public class ScenarioFileTests
{
    private static readonly string s_folder = Path.Combine(Repository.Root, "simulator", "ThermoWatch.Simulator", "Scenarios");

    public static TheoryData<string> Files => [.. Directory.GetFiles(s_folder, "*.json").Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Files))]
    public void File_played_twice_says_the_same_bytes_on_the_wire_and_in_its_truth_at_every_sample(string file)
    {
        Assert.Equal(Play(file, 1), Play(file, 1));
        Assert.NotEqual(Play(file, 1), Play(file, 2)); // and the seed is what they come from
    }

    /// <summary>A sum over every register and contact, every true value and the state of the line, ten times a second for two runs and more.</summary>
    private static string Play(string file, int seed)
    {
        (Scenario? scenario, IReadOnlyList<string> problems) = ScenarioFile.Parse(File.ReadAllText(Path.Combine(s_folder, file)));
        Assert.Empty(problems);
        Assert.Equal(Path.GetFileNameWithoutExtension(file), scenario!.Name);
        var cell = new SimulatedCell(new SimulatorOptions { Seed = seed }, scenario);
        using var sum = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var registers = new ushort[RegisterMap.InputCount];
        var signals = new ushort[RegisterMap.SignalCount];
        byte[] bytes = new byte[2 * (registers.Length + signals.Length)];
        byte[] real = new byte[8 * (SimulatedChannels.ProductCount + 4)];
        for (int i = 1; i <= 9000; i++)
        {
            cell.AdvanceTo(i * SimulatedCell.SamplePeriod);
            Assert.True(cell.Instruments.TryRead(RegisterTable.Input, 0, registers));
            Assert.True(cell.Instruments.TryRead(RegisterTable.Input, RegisterMap.FirstSignals, signals));
            int at = 0;
            foreach (ushort register in registers.Concat(signals))
            {
                BinaryPrimitives.WriteUInt16BigEndian(bytes.AsSpan(2 * at++), register);
            }

            sum.AppendData(bytes);
            CellTruth truth = cell.Truth;
            at = 0;
            foreach (double value in truth.ProductCelsius.Concat([truth.VapourCelsius, truth.ChamberMbar, truth.RunTime.TotalSeconds, (double)CellRegisters.StateOf(cell.Plant)]))
            {
                BinaryPrimitives.WriteDoubleBigEndian(real.AsSpan(8 * at++), value);
            }

            sum.AppendData(real);
        }

        Assert.True(cell.Truth.RunNumber >= 2);
        return Convert.ToHexString(sum.GetHashAndReset());
    }
}
