using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Tests;

public sealed class DeviceOptionsTests
{
    private static readonly ModbusTcpDeviceOptions Good = new()
    {
        Id = "amp1",
        Host = "192.0.2.7",
        Points = [new() { Id = "tc1", Address = 0, Type = PointType.Float32 }, new() { Id = "tc2", Address = 2, Type = PointType.Float32 }],
    };

    [Fact]
    public void Good_options_have_no_fault() => Assert.Empty(Good.Validate("devices[0]"));

    [Fact]
    public void All_faults_come_at_once_each_with_its_path_and_a_remedy()
    {
        ModbusTcpDeviceOptions bad = Good with
        {
            Id = "amp 1",
            Host = " ",
            Port = 0,
            Unit = 248,
            Period = TimeSpan.Zero,
            Timeout = TimeSpan.FromMinutes(1),
            Retries = 6,
            MaxRegisters = 1,
            Points = [new() { Id = "tc1", Address = 65535, Type = PointType.Float32 }, new() { Id = "tc1", Address = 0, Bit = 3 }],
        };
        IReadOnlyList<ConfigurationFault> faults = bad.Validate("devices[0]");
        Assert.Equal(
            ["id", "period", "points[1].id", "host", "port", "unit", "timeout", "retries", "points[0].address", "maxRegisters", "points[1].bit"],
            faults.Select(f => f.Path["devices[0].".Length..]));
        Assert.All(faults, f => Assert.True(f.Problem.Length > 0 && f.Remedy.Length > 0));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(255)]
    public void A_device_on_tcp_may_have_no_unit_number(int unit) => Assert.Empty((Good with { Unit = unit }).Validate("d"));

    [Fact]
    public void The_record_sees_the_points_in_the_order_of_the_options() =>
        Assert.Equal(["tc1", "tc2"], Good.ToDefinition().Points);
}
