using System.Text.RegularExpressions;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>
/// Words that nothing here may say to people. No text tells anybody to get at hot boards or around a guard, and none calms:
/// this program observes, and does not know whether a machine may be approached.
/// </summary>
public static partial class ForbiddenWords
{
    /// <summary>The first forbidden word of a text; null if it has none.</summary>
    public static string? In(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        Match match = Forbidden().Match(TradeTerms().Replace(text, ""));
        return match.Success ? match.Value : null;
    }

    // An alarm that is taken out of service (ISA-18.2), an open circuit, an open thermocouple input and paste's open time are terms of the trade and ask nobody to do anything.
    [GeneratedRegex(@"\bout of service\b|\bopen[ -](circuits?|inputs?|sensors?|wires?|thermocouples?|time|decisions?|runs?|process)\b", RegexOptions.IgnoreCase)]
    private static partial Regex TradeTerms();

    [GeneratedRegex(
        @"\bopen(s|ed|ing)?\b|\breach(es|ed|ing)?\s+in(to)?\b|\b(take|takes|taking|took|taken)\s+(\w+\s+){0,3}out\b|\bremov(e|es|ed|ing|al)\b|\bbypass(es|ed|ing)?\b"
        + @"|\b(ge)?öffne(n|t|te|ten)?\b|\b(auf|hinein|rein)greif(en|t)\b|\b(heraus|raus)nehm(en|t)\b|\bentnehm(en|t)\b|\bentnommen\b|\bentfern(en|t|e)\b|\büberbrück(en|t|e)\b"
        + @"|\b(un)?sicher(e|er|en|es)?\b|\bin Ordnung\b|\bnichts (ist|geht|ging) verloren\b|\bMaschine (ist |war )?nicht betroffen\b"
        + @"|\bsafe(ly)?\b|\bO\.?K\b|\bokay\b|\bnothing (is|was) lost\b|\bmachine (is |was )?not affected\b",
        RegexOptions.IgnoreCase)]
    private static partial Regex Forbidden();
}
