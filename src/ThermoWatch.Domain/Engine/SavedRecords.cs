using System.Text.Json;

namespace ThermoWatch.Domain.Engine;

/// <summary>Writes whole records into a snapshot. JSON keeps every double to the bit, and reads what later versions add.</summary>
internal static class SavedRecords
{
    public static void Write<T>(BinaryWriter writer, T? record)
        where T : class
    {
        byte[] json = JsonSerializer.SerializeToUtf8Bytes(record);
        writer.Write(json.Length);
        writer.Write(json);
    }

    public static T? Read<T>(BinaryReader reader)
        where T : class => JsonSerializer.Deserialize<T>(reader.ReadBytes(reader.ReadInt32()));
}
