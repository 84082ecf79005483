namespace ThermoWatch.Acquisition.Modbus;

/// <summary>The check of Modbus RTU frames: seed FFFFh, polynomial A001h (reflected), low byte sent first.</summary>
/// <remarks>Source: Modbus over Serial Line V1.02, appendix B; catalogue check of "123456789" is 4B37h.</remarks>
public static class Crc16
{
    private static readonly ushort[] Table = Build();

    /// <summary>CRC of the bytes.</summary>
    public static ushort Of(ReadOnlySpan<byte> bytes)
    {
        ushort crc = 0xFFFF;
        foreach (byte b in bytes) crc = (ushort)((crc >> 8) ^ Table[(crc ^ b) & 0xFF]);
        return crc;
    }

    private static ushort[] Build()
    {
        var table = new ushort[256];
        for (int value = 0; value < 256; value++)
        {
            ushort crc = (ushort)value;
            for (int bit = 0; bit < 8; bit++) crc = (ushort)((crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1);
            table[value] = crc;
        }

        return table;
    }
}
