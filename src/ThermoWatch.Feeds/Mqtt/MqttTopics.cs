namespace ThermoWatch.Feeds.Mqtt;

/// <summary>The topic tree. The README of this room describes it for who listens.</summary>
/// <param name="Root">What every topic begins with, such as <c>plant/hall2/thermowatch</c>.</param>
internal sealed record MqttTopics(string Root)
{
    /// <summary>Whether the feed is there; retained.</summary>
    public string Status => Root + "/status";

    /// <summary>Scans, several in a message.</summary>
    public string Readings(int cell) => FormattableString.Invariant($"{Root}/cells/{cell}/readings");

    /// <summary>Newest reading of a channel; retained.</summary>
    public string Last(int cell, string channel) => FormattableString.Invariant($"{Root}/cells/{cell}/channels/{Level(channel)}");

    /// <summary>Beginnings and ends of runs.</summary>
    public string Runs(int cell) => FormattableString.Invariant($"{Root}/cells/{cell}/runs");

    /// <summary>Newest run; retained.</summary>
    public string LastRun(int cell) => FormattableString.Invariant($"{Root}/cells/{cell}/run");

    /// <summary>Steps of alarms.</summary>
    public string Alarms(int cell) => FormattableString.Invariant($"{Root}/cells/{cell}/alarms");

    /// <summary>How an alarm stands; retained. Its id has a slash: condition and place are two levels.</summary>
    public string Alarm(int cell, string id) => FormattableString.Invariant($"{Root}/cells/{cell}/alarm/{string.Join('/', id.Split('/').Select(Level))}");

    private static string Level(string name) => string.Concat(name.Select(c => c is '+' or '#' or '/' or '\0' ? '_' : c));
}
