using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>How a device has been doing. Written by its bus's thread, read by any.</summary>
public sealed class DeviceStatistics(string id, int index)
{
    private volatile string _reason = "";

    /// <summary>Id of the device.</summary>
    public string Id => id;

    /// <summary>Its place in the cell's list.</summary>
    public int Index => index;

    /// <summary>How it stands.</summary>
    public DeviceState State { get; internal set; }

    /// <summary>Why, in plain words; empty when up.</summary>
    public string Reason { get => _reason; internal set => _reason = value; }

    /// <summary>Polls begun.</summary>
    public long Polls { get; internal set; }

    /// <summary>Polls without a good answer.</summary>
    public long Missed { get; internal set; }

    /// <summary>Polls left out because the bus was still busy in their slot.</summary>
    public long Late { get; internal set; }

    /// <summary>Scans that were read and lost, because recording could not follow.</summary>
    public long Lost { get; internal set; }

    /// <summary>Time from request to reply of the answered polls.</summary>
    public ResponseTimes Responses { get; } = new();

    internal void Answered(TimeSpan took) => Responses.Add(took);
}
