using System.Text;
using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>The same bytes read in every way, and which way is likely.</summary>
internal static class ModbusNumbers
{
    /// <summary>Numbers that instruments of this trade show: temperatures, pressures, millivolts, counts.</summary>
    private const double Least = 1e-4, Most = 1e5;

    /// <summary>Address on the wire and the number that manuals print: from 1, and by tradition with the table's digit before it.</summary>
    public static string Where(ModbusPoint point)
    {
        int digit = point.Table switch { ModbusTable.Holding => 4, ModbusTable.Input => 3, ModbusTable.Discrete => 1, _ => 0 };
        int places = point.Address < 9999 ? 4 : 5;
        return $"{point.Table} {point.Address} (manuals: {digit}{(point.Address + 1).ToString($"D{places}", System.Globalization.CultureInfo.InvariantCulture)})";
    }

    /// <summary>The number in all four orders; empty for a single register.</summary>
    public static Dictionary<string, double?> InAllOrders(ReadOnlySpan<byte> bytes, ModbusPoint point)
    {
        Dictionary<string, double?> orders = [];
        if (RegisterDecoder.RegistersOf(point.Type) == 1) return orders;
        foreach (WordOrder order in Enum.GetValues<WordOrder>())
        {
            double value = RegisterDecoder.Decode(bytes, point.Type, order);
            orders[order.ToString().ToUpperInvariant()] = double.IsFinite(value) ? value : null;
        }

        return orders;
    }

    /// <summary>The one order that makes a likely number where the configured one does not; null if there is none or more than one.</summary>
    public static string? LikelierOrder(ModbusPoint point, Dictionary<string, double?> orders)
    {
        if (point.Type is not (PointType.Float32 or PointType.Float64) || Likely(orders[point.WordOrder.ToString().ToUpperInvariant()])) return null;
        string[] likely = [.. orders.Where(o => Likely(o.Value)).Select(o => o.Key)];
        return likely.Length == 1 ? likely[0] : null;
    }

    /// <summary>The objects of function 43/14 as one line; what is not text is left out.</summary>
    public static string Identification(ReadOnlySpan<byte> data)
    {
        // MEI type, code, conformity, more follows, next, count; then id, length, bytes (Application Protocol V1.1b3, 6.21).
        List<string> objects = [];
        int at = 6;
        while (at + 2 <= data.Length && at + 2 + data[at + 1] <= data.Length)
        {
            objects.Add(Encoding.ASCII.GetString(data.Slice(at + 2, data[at + 1])));
            at += 2 + data[at + 1];
        }

        return string.Join(", ", objects.Where(o => o.Length > 0 && !o.Any(char.IsControl)));
    }

    /// <summary>The object with which the next answer of function 43/14 begins; null if this was the last.</summary>
    public static int? NextIdentification(ReadOnlySpan<byte> data) => data.Length >= 6 && data[3] == 0xFF ? data[4] : null;

    private static bool Likely(double? value) => value is 0 || (value is { } v && Math.Abs(v) is >= Least and <= Most);
}
