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

    /// <summary>Writes a part by its name and length, so that a reader who does not know it can pass over it.</summary>
    public static void Part(BinaryWriter writer, string name, Action<BinaryWriter> save)
    {
        using var stream = new MemoryStream();
        using var part = new BinaryWriter(stream);
        save(part);
        part.Flush();
        writer.Write(name);
        writer.Write((int)stream.Length);
        writer.Write(stream.GetBuffer(), 0, (int)stream.Length);
    }

    /// <summary>The content of a part whose name has been read.</summary>
    public static BinaryReader Part(BinaryReader reader) => new(new MemoryStream(reader.ReadBytes(reader.ReadInt32())));
}
