using ThermoWatch.Domain.Alarms.Conditions;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>What is filled into the blanks of an alarm's text.</summary>
internal sealed class AlarmBlanks(AlarmPicture alarm, string where, string unit, AlarmLanguage language, AlarmSource? source, string? product)
{
    private readonly double? _value = source?.Numbers?.Value ?? alarm.Value;
    private readonly double? _limit = source?.Numbers?.Limit ?? alarm.Limit;

    /// <summary>The sentence with nothing left blank: the short one where a number that the long one needs is not known.</summary>
    public string Fill(AlarmText text)
    {
        bool needsValue = Needs(text.What, "{value}", "{size}", "{span}", "{beyond}", "{allowed}"), needsLimit = Needs(text.What, "{limit}", "{most}", "{beyond}", "{allowed}", "{needed}");
        if ((needsValue && _value is null) || (needsLimit && _limit is null))
        {
            string rest = needsLimit && _limit is not null ? " " + language.LimitAlone.Replace("{limit}", Number(_limit), StringComparison.Ordinal) : "";
            return Put(text.WhatShort) + rest;
        }

        return Put(text.What);
    }

    /// <summary>Where an alarm holds, as people call it: with the carrier where a cell has several.</summary>
    public static string WhereOf(AlarmPicture alarm, CellDefinition cell, AlarmLanguage language)
    {
        ChannelDefinition? channel = cell.Channels.FirstOrDefault(c => c.Id == alarm.ChannelId);
        string place = alarm.Place.Split('/')[0];
        string? carrier = cell.Carriers.Contains(place) ? place : channel?.Carrier;
        string? named = carrier is null ? null : $"{language.Carrier} {carrier}";
        return channel is null
            // What is wired no longer is called as it was wired.
            ? cell.Devices.FirstOrDefault(d => d.Id == alarm.Place)?.Name ?? named ?? alarm.ChannelId ?? (place is "cell" or "" ? cell.Name : place)
            : named is not null && (cell.Carriers.Count > 1 || alarm.Condition == "limit") ? $"{named}, {channel.Name}" : channel.Name;
    }

    /// <summary>Unit of the alarm's value and limit; empty if they are numbers.</summary>
    public static string UnitOf(AlarmPicture alarm, CellDefinition cell) => alarm switch
    {
        { Figure: { } figure } => Symbol(FigureCatalog.Find(figure)?.Unit),
        { } when ConditionList.UnitOf(alarm.Condition) is { } own => own,
        { ChannelId: { } id } => cell.Channels.FirstOrDefault(c => c.Id == id)?.Unit switch
        {
            MeasuredUnit.DegreeCelsius => "°C",
            MeasuredUnit.Millibar => "mbar",
            MeasuredUnit.Millivolt => "mV",
            _ => "",
        },
        _ => "",
    };

    private static string Symbol(string? unit) => unit switch { "degC" => "°C", "1" or null => "", _ => unit };

    private static bool Needs(string text, params ReadOnlySpan<string> blanks)
    {
        foreach (string blank in blanks)
        {
            if (text.Contains(blank, StringComparison.Ordinal))
            {
                return true;
            }
        }

        return false;
    }

    private string Put(string text) => text
        .Replace("{where}", where, StringComparison.Ordinal)
        .Replace("{value}", Number(_value), StringComparison.Ordinal)
        .Replace("{limit}", Number(_limit), StringComparison.Ordinal)
        .Replace("{size}", Number(Math.Abs(_value ?? 0)), StringComparison.Ordinal)
        .Replace("{most}", Number(Math.Abs(_limit ?? 0)), StringComparison.Ordinal)
        .Replace("{side}", _value < 0 ? language.Sides.Below : language.Sides.Above, StringComparison.Ordinal)
        .Replace("{way}", _value < 0 ? language.Ways.Back : language.Ways.Forward, StringComparison.Ordinal)
        .Replace("{span}", Quantity.Span(_value ?? 0), StringComparison.Ordinal)
        .Replace("{beyond}", Quantity.Of(Math.Abs((_value - _limit) ?? 0), unit == "°C" ? "K" : unit, language), StringComparison.Ordinal)
        .Replace("{allowed}", (_value < _limit ? language.AtLeast : language.AtMost).Replace("{limit}", Allowed(text), StringComparison.Ordinal), StringComparison.Ordinal)
        .Replace("{needed}", _limit is 0 ? "" : language.MarginNeeded.Replace("{limit}", Number(_limit), StringComparison.Ordinal), StringComparison.Ordinal)
        .Replace("{figure}", language.Quoted.Replace("{name}", FigureName, StringComparison.Ordinal), StringComparison.Ordinal)
        .Replace("{condition}", alarm.Condition, StringComparison.Ordinal)
        .Replace("{work}", source?.Work is { } work ? language.Works[work] : "", StringComparison.Ordinal)
        .Replace("{product}", product ?? language.TheProduct, StringComparison.Ordinal)
        .Replace("{feed}", source?.Name, StringComparison.Ordinal)
        .Replace("{words}", source?.Words, StringComparison.Ordinal); // last: what others say fills no blank

    private string FigureName => alarm.Figure is { } figure ? language.Figures.GetValueOrDefault(figure, figure) : "";

    /// <summary>A limit beside a time is written as the time is.</summary>
    private string Allowed(string text) => text.Contains("{span}", StringComparison.Ordinal) ? Quantity.Span(_limit ?? 0) : Number(_limit);

    private string Number(double? value) => Quantity.Of(value, unit, language);
}
