namespace ThermoWatch.Simulator.Wire;

/// <summary>Order in which the four bytes of a 32-bit value go over the wire; A is the most significant.</summary>
public enum WordOrder
{
    /// <summary>High word first, high byte first.</summary>
    Abcd,

    /// <summary>Low word first.</summary>
    Cdab,

    /// <summary>High word first, bytes of each word swapped.</summary>
    Badc,

    /// <summary>Low byte first throughout.</summary>
    Dcba,
}

internal static class WordOrders
{
    /// <summary>The two registers of a 32-bit value; a register itself always goes high byte first.</summary>
    public static (ushort First, ushort Second) Split(uint bits, WordOrder order)
    {
        ushort high = (ushort)(bits >> 16), low = (ushort)(bits & 0xFFFF);
        return order switch
        {
            WordOrder.Abcd => (high, low),
            WordOrder.Cdab => (low, high),
            WordOrder.Badc => (Swap(high), Swap(low)),
            _ => (Swap(low), Swap(high)),
        };
    }

    private static ushort Swap(ushort word) => (ushort)((word >> 8) | ((word & 0xFF) << 8));
}
