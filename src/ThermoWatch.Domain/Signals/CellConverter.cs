using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Signals;

/// <summary>Turns the raw scans of a cell into readings of its channels.</summary>
/// <remarks>
/// The same scans in the same order give the same readings to the bit: live, replayed, or years later.
/// Its only state is what cold junctions and barometers last said, as their device may be another one than the thermocouple's,
/// and since when transmitters' signals say failure.
/// Nothing is allocated per scan. Not for use by two threads at once.
/// </remarks>
public sealed class CellConverter
{
    private const int NoCompanion = -1;
    private const int NoPoint = -1;

    private readonly Step[][] _stepsOfDevice;
    private readonly int[] _pointsOfDevice;
    private readonly CompanionReading[] _companions;
    private readonly BandState[] _bands;

    /// <exception cref="ArgumentException">
    /// A channel names a device, a point or another channel that the cell does not have, or its conversion contradicts itself.
    /// </exception>
    public CellConverter(CellDefinition cell)
    {
        ArgumentNullException.ThrowIfNull(cell);
        ChannelCount = cell.Channels.Count;
        _bands = new BandState[ChannelCount];
        ChannelConverter[] converters = [.. cell.Channels.Select(channel => new ChannelConverter(channel))];
        string[] companionIds = [.. converters.Select(converter => converter.CompanionId).OfType<string>().Distinct()];
        _companions = new CompanionReading[companionIds.Length];
        Array.Fill(_companions, CompanionReading.None);
        _pointsOfDevice = [.. cell.Devices.Select(device => device.Points.Count)];

        Step[] steps = [.. cell.Channels.Select((channel, index) => StepOf(cell, channel, index, converters[index], companionIds))];
        foreach (string id in companionIds)
        {
            Step companion = Array.Find(steps, step => cell.Channels[step.Channel].Id == id)
                ?? throw new ArgumentException($"The conversion of a channel needs channel {id}, which the cell does not have.", nameof(cell));
            if (companion.Needs != NoCompanion)
            {
                throw new ArgumentException($"Channel {id} serves the conversion of others and may not need another channel itself.", nameof(cell));
            }
        }

        // Those that others need come first, so that a scan that carries both uses its own.
        _stepsOfDevice = [.. cell.Devices.Select((_, device) =>
            steps.Where(step => step.Device == device).OrderBy(step => step.Serves == NoCompanion).ToArray())];
    }

    /// <summary>Number of channels, and so of slots that <see cref="Convert"/> expects.</summary>
    public int ChannelCount { get; }

    /// <summary>Writes the readings of the channels that the scan's device carries; the other slots stay as they are.</summary>
    /// <param name="scan">What one device said.</param>
    /// <param name="readings">One slot a channel, in the order of <see cref="CellDefinition.Channels"/>.</param>
    /// <exception cref="ArgumentException">The scan or the slots do not belong to this cell.</exception>
    public void Convert(RawScan scan, Span<Reading> readings)
    {
        ArgumentNullException.ThrowIfNull(scan);
        if (readings.Length != ChannelCount)
        {
            throw new ArgumentException($"{readings.Length} slots for {ChannelCount} channels.", nameof(readings));
        }

        if ((uint)scan.DeviceIndex >= (uint)_stepsOfDevice.Length || scan.Values.Length != _pointsOfDevice[scan.DeviceIndex])
        {
            throw new ArgumentException($"The cell has no device {scan.DeviceIndex} with {scan.Values.Length} points.", nameof(scan));
        }

        foreach (Step step in _stepsOfDevice[scan.DeviceIndex])
        {
            Reading companion = step.Needs == NoCompanion
                ? default
                : _companions[step.Needs].At(scan.Time, step.Converter.CompanionMaxAgeSeconds);
            SignalQuality status = step.StatusPoint == NoPoint
                ? SignalQuality.Good
                : step.Converter.ReadStatus(scan.Values[step.StatusPoint], scan.Qualities[step.StatusPoint]);
            Reading reading = step.Converter.Convert(scan.Time, scan.Values[step.Point], scan.Qualities[step.Point], status, companion, ref _bands[step.Channel]);
            if (step.Serves != NoCompanion) _companions[step.Serves].Accept(reading);
            readings[step.Channel] = reading;
        }
    }

    /// <summary>Writes what must be known to go on from here.</summary>
    public void Save(BinaryWriter w)
    {
        ArgumentNullException.ThrowIfNull(w);
        w.Write(_companions.Length);
        foreach (CompanionReading companion in _companions) companion.Save(w);
        foreach (BandState bands in _bands) bands.Save(w);
    }

    /// <summary>Takes over what <see cref="Save"/> of a converter of the same cell wrote.</summary>
    /// <exception cref="InvalidDataException">It was written for another cell.</exception>
    public void Load(BinaryReader r)
    {
        ArgumentNullException.ThrowIfNull(r);
        int count = r.ReadInt32();
        if (count != _companions.Length)
        {
            throw new InvalidDataException($"The saved state has {count} companion channels, the cell {_companions.Length}.");
        }

        for (int i = 0; i < count; i++) _companions[i] = CompanionReading.Load(r);
        for (int i = 0; i < _bands.Length; i++) _bands[i] = BandState.Load(r);
    }

    private static Step StepOf(CellDefinition cell, ChannelDefinition channel, int index, ChannelConverter converter, string[] companionIds)
    {
        int device = IndexOf(cell.Devices, candidate => candidate.Id == channel.Device);
        int point = PointOf(cell, device, channel, channel.Point);
        int statusPoint = converter.StatusPoint is { } status ? PointOf(cell, device, channel, status) : NoPoint;
        return new Step(
            device, point, statusPoint, index, converter, Array.IndexOf(companionIds, converter.CompanionId), Array.IndexOf(companionIds, channel.Id));
    }

    private static int PointOf(CellDefinition cell, int device, ChannelDefinition channel, string pointId)
    {
        int point = device < 0 ? NoPoint : IndexOf(cell.Devices[device].Points, candidate => candidate == pointId);
        return point != NoPoint
            ? point
            : throw new ArgumentException($"Channel {channel.Id} reads point {pointId} of device {channel.Device}, which the cell does not have.", nameof(cell));
    }

    private static int IndexOf<T>(IReadOnlyList<T> items, Predicate<T> isIt)
    {
        for (int i = 0; i < items.Count; i++)
        {
            if (isIt(items[i])) return i;
        }

        return -1;
    }

    /// <summary>One channel's part in the work on a scan.</summary>
    /// <param name="Device">Place of its device in the cell.</param>
    /// <param name="Point">Place of its point in the device.</param>
    /// <param name="StatusPoint">Place of its status point in the device, or -1.</param>
    /// <param name="Channel">Place of the channel in the cell.</param>
    /// <param name="Converter">How its number becomes a reading.</param>
    /// <param name="Needs">The companion that its conversion needs, or -1.</param>
    /// <param name="Serves">The companion that its reading is, or -1.</param>
    private sealed record Step(int Device, int Point, int StatusPoint, int Channel, ChannelConverter Converter, int Needs, int Serves);
}
