namespace ThermoWatch.Acquisition.Serial;

/// <summary>Parity bit of a character.</summary>
public enum SerialParity
{
    /// <summary>Even: the default of Modbus.</summary>
    Even,

    /// <summary>Odd.</summary>
    Odd,

    /// <summary>None; Modbus then asks for two stop bits.</summary>
    None,
}

/// <summary>Which of our two drivers opens the port.</summary>
public enum SerialDriver
{
    /// <summary>The native one on Linux, else the portable one.</summary>
    Automatic,

    /// <summary>Linux terminal calls: any baud rate, a twentieth of the portable one's delay.</summary>
    Native,

    /// <summary>System.IO.Ports.</summary>
    Portable,
}

/// <summary>A serial port and how its characters are built.</summary>
public sealed record SerialSettings
{
    /// <summary>Such as <c>/dev/serial/by-id/...</c> (stays the same when adapters are plugged elsewhere), <c>/dev/ttyUSB0</c> or <c>COM3</c>.</summary>
    public required string Port { get; init; }

    /// <summary>Bits a second: 300 to 4 000 000.</summary>
    public int Baud { get; init; } = 19200;

    /// <summary>Bits of data in a character: 7 or 8.</summary>
    public int DataBits { get; init; } = 8;

    /// <summary>Parity.</summary>
    public SerialParity Parity { get; init; } = SerialParity.Even;

    /// <summary>1 or 2.</summary>
    public int StopBits { get; init; } = 1;

    /// <summary>Which driver.</summary>
    public SerialDriver Driver { get; init; } = SerialDriver.Automatic;

    /// <summary>Bits of one character on the wire, start bit included.</summary>
    public int BitsPerCharacter => 1 + DataBits + (Parity == SerialParity.None ? 0 : 1) + StopBits;

    /// <summary>Silence between two frames of Modbus RTU: 3.5 characters, and 1.75 ms above 19200 Bd.</summary>
    /// <remarks>Source: Modbus over Serial Line V1.02, 2.5.1.1: times so short would load the receiver.</remarks>
    public TimeSpan FrameGap => Baud > 19200 ? TimeSpan.FromMilliseconds(1.75) : 3.5 * CharacterTime;

    /// <summary>Time that so many characters take on the wire.</summary>
    public TimeSpan WireTime(int characters) => characters * CharacterTime;

    private TimeSpan CharacterTime => TimeSpan.FromSeconds(BitsPerCharacter / (double)Baud);

    internal void Check(OptionsCheck check)
    {
        check.NotEmpty("serial.port", Port, "Name the port, such as /dev/serial/by-id/... or COM3.");
        check.Range("serial.baud", Baud, 300, 4_000_000, "a baud rate");
        check.Range("serial.dataBits", DataBits, 7, 8, "a number of data bits");
        check.Range("serial.stopBits", StopBits, 1, 2, "a number of stop bits");
        check.Known("serial.parity", Parity);
        check.Known("serial.driver", Driver);
        if (Driver == SerialDriver.Native && !OperatingSystem.IsLinux())
            check.Add("serial.driver", "Native is for Linux only.", "Use Automatic or Portable.");
    }
}
