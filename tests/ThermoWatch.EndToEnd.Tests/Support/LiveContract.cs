using MessagePack;

namespace ThermoWatch.EndToEnd.Tests.Support;

// The live contract as an outside program would write it down for itself, from its description: only what the tests look at.

[MessagePackObject]
public sealed class Frame
{
    [Key("cell")] public int Cell { get; set; }

    [Key("seq")] public long Seq { get; set; }

    [Key("t")] public double T { get; set; }

    [Key("data")] public byte[] Data { get; set; } = [];

    public float Value(int channel) => BitConverter.ToSingle(Data, 4 * channel);

    public int Quality(int channel, int channels) => (Data[(4 * channels) + (channel / 4)] >> (2 * (channel % 4))) & 3;
}

[MessagePackObject]
public sealed class Refill
{
    [Key("frames")] public Frame[] Frames { get; set; } = [];

    [Key("more")] public bool More { get; set; }
}

[MessagePackObject]
public sealed class Layout
{
    [Key("cell")] public int Cell { get; set; }

    [Key("session")] public string Session { get; set; } = "";

    [Key("channels")] public Channel[] Channels { get; set; } = [];

    [Key("fromSeq")] public long FromSeq { get; set; }

    [Key("usualCycle_s")] public double? UsualCycle { get; set; }
}

[MessagePackObject]
public sealed class Channel
{
    [Key("id")] public string Id { get; set; } = "";

    [Key("role")] public string Role { get; set; } = "";

    [Key("unit")] public string Unit { get; set; } = "";
}

[MessagePackObject]
public sealed class State
{
    [Key("t")] public double T { get; set; }

    [Key("runs")] public Run[] Runs { get; set; } = [];

    [Key("alarms")] public Alarm[] Alarms { get; set; } = [];

    [Key("hiddenAlarms")] public Alarm[] HiddenAlarms { get; set; } = [];

    [Key("devices")] public Device[] Devices { get; set; } = [];
}

[MessagePackObject]
public sealed class Run
{
    [Key("number")] public long Number { get; set; }

    [Key("start")] public double Start { get; set; }

    [Key("end")] public double? End { get; set; }

    [Key("gaps")] public Gap[] Gaps { get; set; } = [];

    [Key("figures")] public Figure[] Figures { get; set; } = [];

    [Key("verdict")] public string? Verdict { get; set; }
}

[MessagePackObject]
public sealed class Figure
{
    [Key("figure")] public string Name { get; set; } = "";

    [Key("channel")] public string? Channel { get; set; }

    [Key("value")] public double? Value { get; set; }

    [Key("final")] public bool Final { get; set; }
}

[MessagePackObject]
public sealed class Gap
{
    [Key("channel")] public string Channel { get; set; } = "";

    [Key("start")] public double Start { get; set; }

    [Key("end")] public double? End { get; set; }
}

[MessagePackObject]
public sealed class Alarm
{
    [Key("id")] public string Id { get; set; } = "";

    [Key("condition")] public string Condition { get; set; } = "";

    [Key("channel")] public string? Channel { get; set; }

    [Key("state")] public string State { get; set; } = "";

    [Key("by")] public string By { get; set; } = "";

    [Key("comment")] public string Comment { get; set; } = "";

    [Key("until")] public double? Until { get; set; }

    [Key("what")] public string What { get; set; } = "";

    [Key("de")] public AlarmText? German { get; set; }
}

[MessagePackObject]
public sealed class Device
{
    [Key("id")] public string Id { get; set; } = "";

    [Key("state")] public string State { get; set; } = "";

    [Key("reason")] public string Reason { get; set; } = "";
}

[MessagePackObject]
public sealed class AlarmText
{
    [Key("what")] public string What { get; set; } = "";
}
