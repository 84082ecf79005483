using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals.Filters;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Signals;

/// <summary>What a channel measures, and so which rules apply to it.</summary>
public enum ChannelRole
{
    /// <summary>Thermocouple on the product; belongs to a carrier and has a place.</summary>
    Product,

    /// <summary>Vapour temperature.</summary>
    Vapour,

    /// <summary>The machine's own process sensor on the transport, a temperature.</summary>
    Transport,

    /// <summary>Absolute pressure in the process chamber.</summary>
    Pressure,

    /// <summary>Ambient absolute pressure.</summary>
    Barometer,

    /// <summary>Acceleration or vibration of the carrier.</summary>
    Motion,

    /// <summary>
    /// Where a carrier is. A channel with a carrier: 0 out of the machine, any other number in it. A shared channel:
    /// number of the carrier that is in the process chamber, counted from 1 in the cell's order; 0 none.
    /// </summary>
    Position,

    /// <summary>Temperature of the fluid sump.</summary>
    Sump,

    /// <summary>Temperature of a heater.</summary>
    Heater,

    /// <summary>Temperature of the cooling water.</summary>
    CoolingWater,

    /// <summary>Reference junction of thermocouples, in the instrument or its terminal block.</summary>
    ColdJunction,

    /// <summary>Valve, start, unload or recipe number from the machine.</summary>
    Signal,

    /// <summary>Recorded and drawn, never judged.</summary>
    Auxiliary,
}

/// <summary>Where on the product a thermocouple sits.</summary>
public enum Place
{
    /// <summary>A solder joint.</summary>
    Joint,

    /// <summary>The top of a component's body.</summary>
    Body,

    /// <summary>The bare board.</summary>
    Board,

    /// <summary>Beside the product; enters no product or carrier figure unless a limit names it.</summary>
    Air,
}

/// <summary>The unit of a channel's values, and of what its instrument gives after scaling.</summary>
public enum MeasuredUnit
{
    /// <summary>Degrees Celsius, ITS-90.</summary>
    DegreeCelsius,

    /// <summary>Millibar absolute, the same as hectopascal.</summary>
    Millibar,

    /// <summary>Millivolt.</summary>
    Millivolt,

    /// <summary>A pure number: a state, a position, a recipe number.</summary>
    One,
}

/// <summary>Where the temperature of a thermocouple's reference junction comes from.</summary>
public abstract record ColdJunctionSource
{
    private ColdJunctionSource() { }

    /// <summary>Measured by another channel of the same cell.</summary>
    /// <param name="ChannelId">Id of a channel with role <see cref="ChannelRole.ColdJunction"/>.</param>
    public sealed record FromChannel(string ChannelId) : ColdJunctionSource;

    /// <summary>Held at a known temperature, such as an ice point.</summary>
    /// <param name="Celsius">Temperature in °C.</param>
    public sealed record Fixed(double Celsius) : ColdJunctionSource;

    /// <summary>The instrument has added it already: its EMF is against 0 °C, and adding it again would be wrong.</summary>
    public sealed record AlreadyApplied : ColdJunctionSource;
}

/// <summary>How the raw number of a point becomes the channel's value.</summary>
/// <remarks>
/// In this order: status and sentinels of the raw word; its format; <c>measured = raw × Scale + Offset</c>; bands and law of an
/// analogue signal; unit of pressure, and the ambient pressure of a relative gauge; or the amplifier's law, the reference junction and
/// the thermocouple, which give °C; the calibration of that moment; the instrument's range. Each part is optional.
/// </remarks>
public sealed record ChannelConversion
{
    /// <summary>Unit of the scaled number.</summary>
    public required MeasuredUnit Unit { get; init; }

    /// <summary>Factor on the raw number; finite, not zero.</summary>
    public double Scale { get; init; } = 1;

    /// <summary>Added after scaling, in <see cref="Unit"/>; finite.</summary>
    public double Offset { get; init; }

    /// <summary>Letter of the thermocouple (IEC 60584-1) when the scaled number is its EMF in mV; else null.</summary>
    public char? Thermocouple { get; init; }

    /// <summary>Reference junction of the thermocouple; null without a thermocouple.</summary>
    public ColdJunctionSource? ColdJunction { get; init; }

    /// <summary>How far the reference junction is believed.</summary>
    public ColdJunctionLimits ColdJunctionLimits { get; init; } = ColdJunctionLimits.Default;

    /// <summary>Status register beside the value; null without one.</summary>
    public StatusWord? Status { get; init; }

    /// <summary>Raw numbers that are messages; the first that matches counts.</summary>
    public IReadOnlyList<Sentinel> Sentinels { get; init; } = [];

    /// <summary>How the bits of the raw word stand for a number.</summary>
    public WordFormat Word { get; init; }

    /// <summary>What the level of an analogue signal (V or mA, after scaling) says; null without.</summary>
    public SignalBands? Bands { get; init; }

    /// <summary>How an analogue signal stands for what is measured; null: the scaled number is it.</summary>
    public AnalogueLaw? Law { get; init; }

    /// <summary>Unit that the instrument gives its pressure in. With <see cref="MeasuredUnit.Millibar"/> only; readings are in mbar.</summary>
    public PressureUnit PressureUnit { get; init; }

    /// <summary>Id of the barometer's channel when the instrument measures against the atmosphere; null: it measures absolutely.</summary>
    public string? AmbientChannel { get; init; }

    /// <summary>For how long an ambient reading serves when no newer one comes, s. Weather is slow.</summary>
    public double AmbientMaxAgeSeconds { get; init; } = 600;

    /// <summary>What an amplifier or converter made of the EMF by a straight line; null: the scaled number is the EMF.</summary>
    public AmplifierLaw? Amplifier { get; init; }

    /// <summary>Calibrations of the channel; a reading takes the one that held when it was measured.</summary>
    public CalibrationHistory Calibrations { get; init; } = CalibrationHistory.Empty;

    /// <summary>Lowest value that the instrument measures, in the channel's unit; a reading below it is doubtful. Null: not known.</summary>
    public double? Lowest { get; init; }

    /// <summary>Highest value that the instrument measures, in the channel's unit; a reading above it is doubtful. Null: not known.</summary>
    public double? Highest { get; init; }
}

/// <summary>One signal of a cell.</summary>
public sealed record ChannelDefinition
{
    /// <summary>Short and unique in the cell: letters, digits, hyphen and underscore.</summary>
    public required string Id { get; init; }

    /// <summary>As people call it.</summary>
    public required string Name { get; init; }

    /// <summary>What it measures.</summary>
    public required ChannelRole Role { get; init; }

    /// <summary>Place on the product; only for product channels.</summary>
    public Place Place { get; init; } = Place.Joint;

    /// <summary>The carrier that a product channel, or a sensor or signal of one carrier, belongs to; null for shared channels.</summary>
    public string? Carrier { get; init; }

    /// <summary>What a channel with role <see cref="ChannelRole.Signal"/> says; null: it is recorded, and moves nothing.</summary>
    public SignalMeaning? Signal { get; init; }

    /// <summary>Id of the device that is asked.</summary>
    public required string Device { get; init; }

    /// <summary>Id of the point in that device.</summary>
    public required string Point { get; init; }

    /// <summary>How its raw number becomes a value.</summary>
    public required ChannelConversion Conversion { get; init; }

    /// <summary>What is known of a temperature channel's errors; null: what the spec of a run says of its measurement.</summary>
    public TemperatureUncertainty? TemperatureUncertainty { get; init; }

    /// <summary>What is known of a pressure channel's errors; null: nothing.</summary>
    public PressureUncertainty? PressureUncertainty { get; init; }

    /// <summary>A smoothed value to be shown beside its own; null: none.</summary>
    public FilterDefinition? Filter { get; init; }

    /// <summary>Unit of the channel's values.</summary>
    public MeasuredUnit Unit => Conversion.Thermocouple is null ? Conversion.Unit : MeasuredUnit.DegreeCelsius;
}
