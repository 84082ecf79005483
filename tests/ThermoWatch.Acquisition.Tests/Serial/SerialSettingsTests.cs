using ThermoWatch.Acquisition.Serial;

namespace ThermoWatch.Acquisition.Tests.Serial;

public sealed class SerialSettingsTests
{
    // 3.5 characters of 11 bits, and fixed above 19200 Bd: Modbus over Serial Line V1.02, 2.5.1.1; digits computed.
    [Theory]
    [InlineData(1200, 32.083)]
    [InlineData(2400, 16.042)]
    [InlineData(4800, 8.0208)]
    [InlineData(9600, 4.0104)]
    [InlineData(19200, 2.0052)]
    [InlineData(38400, 1.750)]
    [InlineData(115200, 1.750)]
    public void Silence_between_frames(int baud, double milliseconds) =>
        Assert.Equal(milliseconds, new SerialSettings { Port = "p", Baud = baud }.FrameGap.TotalMilliseconds, 0.0006);

    [Theory]
    [InlineData(SerialParity.Even, 1, 11)]
    [InlineData(SerialParity.None, 2, 11)]
    [InlineData(SerialParity.None, 1, 10)]
    public void Bits_of_a_character(SerialParity parity, int stopBits, int bits) =>
        Assert.Equal(bits, new SerialSettings { Port = "p", Parity = parity, StopBits = stopBits }.BitsPerCharacter);

    // A poll of 8 registers at 9600 Bd: 9.17 ms of request and 24.06 ms of reply (computed from 11 bits a character).
    [Fact]
    public void Time_on_the_wire() =>
        Assert.Equal(9.17 + 24.06, new SerialSettings { Port = "p", Baud = 9600 }.WireTime(8 + 21).TotalMilliseconds, 0.01);
}
