namespace ThermoWatch.Simulator.Wire;

/// <summary>What a bad line does to bytes: each becomes another, the same way each time.</summary>
internal static class Garble
{
    private const int Scramble = 0x5A;

    public static void Bytes(Span<byte> bytes)
    {
        for (int i = 0; i < bytes.Length; i++)
        {
            bytes[i] ^= (byte)(Scramble + (i % 64));
        }
    }
}
