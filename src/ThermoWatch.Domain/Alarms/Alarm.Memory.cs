using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <content>What a snapshot keeps of an alarm.</content>
internal sealed partial class Alarm
{
    public void Save(BinaryWriter writer)
    {
        writer.Write((int)State);
        writer.Write(Holds);
        writer.Write(Since.UtcTicks);
        Write(writer, _beginsSince);
        Write(writer, _wanesSince);
        writer.Write(Worst ?? double.NaN);
        writer.Write(Limit ?? double.NaN);
        Write(writer, Run);
        writer.Write(JudgedRun);
        writer.Write(_latched);
        writer.Write(_seen);
        writer.Write(_oneShot);
        writer.Write(_acknowledged.UtcTicks);
        writer.Write(_foundPriority is { } priority ? (int)priority : -1);
        writer.Write(_foundChannel ?? "");
        writer.Write(_figure ?? "");
        writer.Write(By);
        writer.Write(Comment);
        Write(writer, Until?.UtcTicks);
        Write(writer, Deadline?.UtcTicks);
    }

    public void Load(BinaryReader reader)
    {
        State = (AlarmState)reader.ReadInt32();
        Holds = reader.ReadBoolean();
        Since = new Timestamp(reader.ReadInt64());
        _beginsSince = Read(reader);
        _wanesSince = Read(reader);
        Worst = NullIfNaN(reader.ReadDouble());
        Limit = NullIfNaN(reader.ReadDouble());
        Run = Read(reader);
        JudgedRun = reader.ReadInt64();
        _latched = reader.ReadBoolean();
        _seen = reader.ReadBoolean();
        _oneShot = reader.ReadBoolean();
        _acknowledged = new Timestamp(reader.ReadInt64());
        int priority = reader.ReadInt32();
        _foundPriority = priority < 0 ? null : (AlarmPriority)priority;
        _foundChannel = NullIfEmpty(reader.ReadString());
        _figure = NullIfEmpty(reader.ReadString());
        By = reader.ReadString();
        Comment = reader.ReadString();
        Until = Read(reader) is { } until ? new Timestamp(until) : null;
        Deadline = Read(reader) is { } deadline ? new Timestamp(deadline) : null;
    }

    private static string? NullIfEmpty(string text) => text.Length == 0 ? null : text;

    private static double? NullIfNaN(double value) => double.IsNaN(value) ? null : value;

    private static void Write(BinaryWriter writer, long? ticks) => writer.Write(ticks ?? long.MinValue);

    private static long? Read(BinaryReader reader) => reader.ReadInt64() is var ticks && ticks == long.MinValue ? null : ticks;
}
