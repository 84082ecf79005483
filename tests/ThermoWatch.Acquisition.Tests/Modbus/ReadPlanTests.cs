using CsCheck;
using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Tests.Modbus;

public sealed class ReadPlanTests
{
    private static readonly PointType[] Types = [PointType.Int16, PointType.Float32, PointType.Float64];

    [Fact]
    public void Neighbours_are_read_together()
    {
        ReadPlan plan = ReadPlan.For([At(0, PointType.Float32), At(2), At(3)], 0, 125);
        Assert.Equal([new ReadBlock(ModbusTable.Holding, 0, 4)], plan.Blocks);
    }

    [Theory]
    [InlineData(3, 2)]
    [InlineData(4, 1)]
    public void A_hole_is_read_along_up_to_the_gap_allowed(int maxGap, int blocks) =>
        Assert.Equal(blocks, ReadPlan.For([At(0), At(5)], maxGap, 125).Blocks.Length);

    [Fact]
    public void A_number_is_never_cut_by_the_limit_of_a_request()
    {
        ReadPlan plan = ReadPlan.For([At(0), At(1, PointType.Float32), At(3)], 8, 2);
        Assert.Equal([new(ModbusTable.Holding, 0, 1), new(ModbusTable.Holding, 1, 2), new(ModbusTable.Holding, 3, 1)], plan.Blocks);
    }

    [Fact]
    public void Tables_are_asked_apart()
    {
        ReadPlan plan = ReadPlan.For([At(0), At(0) with { Table = ModbusTable.Input }, At(0) with { Table = ModbusTable.Coil }], 8, 125);
        Assert.Equal(3, plan.Blocks.Length);
    }

    [Fact]
    public void Bits_of_one_register_take_one_request()
    {
        ReadPlan plan = ReadPlan.For([.. Enumerable.Range(0, 16).Select(bit => At(9, PointType.Bit) with { Bit = bit })], 8, 125);
        Assert.Equal([new ReadBlock(ModbusTable.Holding, 9, 1)], plan.Blocks);
        Assert.Null(plan.Split(0));
    }

    [Fact]
    public void A_refused_block_is_cut_at_its_widest_hole()
    {
        ReadPlan plan = ReadPlan.For([At(0), At(1), At(5), At(7)], 8, 125);
        Assert.Equal([new(ModbusTable.Holding, 0, 2), new(ModbusTable.Holding, 5, 3)], plan.Split(0)!.Blocks);
    }

    [Fact]
    public void Every_point_lies_whole_in_one_block_within_the_limits() =>
        Gen.Select(
            Gen.Select(Gen.Int[0, 400], Gen.Int[0, Types.Length - 1]).Array[1, 40], Gen.Int[0, 20], Gen.Int[4, 125]).Sample((points, gap, most) =>
            {
                ModbusPoint[] asked = [.. points.Select(p => At(p.Item1, Types[p.Item2]))];
                ReadPlan? plan = ReadPlan.For(asked, gap, most);
                for (; plan is not null; plan = plan.Split(0)) // and however often the device refuses
                {
                    Assert.Equal(Enumerable.Range(0, asked.Length), plan.PointsOfBlock.SelectMany(p => p).Order());
                    for (int b = 0; b < plan.Blocks.Length; b++)
                    {
                        ReadBlock block = plan.Blocks[b];
                        Assert.InRange(block.Quantity, 1, most);
                        Assert.All(plan.PointsOfBlock[b], i =>
                            Assert.True(asked[i].Address >= block.Address && asked[i].Address + asked[i].Length <= block.Address + block.Quantity));
                    }
                }
            });

    private static ModbusPoint At(int address, PointType type = PointType.Int16) => new() { Id = $"p{address}", Address = address, Type = type };
}
