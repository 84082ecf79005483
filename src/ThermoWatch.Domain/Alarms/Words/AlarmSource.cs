using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Runs;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>What an alarm is about that the cell itself does not know: somebody outside and what that one says of it, or a cause that the record tells.</summary>
public sealed record AlarmSource
{
    /// <summary>Longest text that is passed on, in characters; what is longer stands where the alarm sends people to.</summary>
    public const int LongestWords = 120;

    private AlarmSource(string name, string words) => (Name, Words) = (name, words);

    /// <summary>Its name, as the configuration has it.</summary>
    public string Name { get; }

    /// <summary>Which variant of the condition's text tells it; empty: that of a name, or of words.</summary>
    public string Variant { get; private init; } = "";

    /// <summary>What was worked on, where that is the cause.</summary>
    public ServiceKind? Work { get; private init; }

    /// <summary>Value and limit that belong to the variant; null where it has none.</summary>
    public (double Value, double Limit)? Numbers { get; private init; }

    /// <summary>Its words on one line, cut short; empty if it says nothing that may be passed on.</summary>
    public string Words { get; }

    /// <summary>Somebody outside, whose words are theirs: what would break a line is a space, and words that no text here may say are left out.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="words">What it says, as it came.</param>
    public static AlarmSource Of(string name, string words = "")
    {
        ArgumentNullException.ThrowIfNull(name);
        ArgumentNullException.ThrowIfNull(words);
        string line = OneLine(words);
        return new AlarmSource(OneLine(name), ForbiddenWords.In(line) is null ? line : "");
    }

    /// <summary>A verification run is due because the last one is too old.</summary>
    /// <param name="age">How old it is.</param>
    /// <param name="longest">How old it may become.</param>
    public static AlarmSource OfAge(TimeSpan age, TimeSpan longest) =>
        new("", "") { Variant = "age", Numbers = (Math.Floor(age.TotalDays), longest.TotalDays) };

    /// <summary>A verification run is due because the machine was worked on.</summary>
    /// <param name="work">What was worked on.</param>
    public static AlarmSource OfWork(ServiceKind work) => new("", "") { Variant = "work", Work = work };

    private static string OneLine(string text)
    {
        var line = new StringBuilder();
        foreach (Rune sign in text.EnumerateRunes())
        {
            // Signs that do not print, or turn the direction of writing, could make it look like something else.
            bool prints = Rune.GetUnicodeCategory(sign) is not (UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator
                or UnicodeCategory.ParagraphSeparator or UnicodeCategory.SpaceSeparator or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned or UnicodeCategory.Surrogate);
            if (prints && line.Length + sign.Utf16SequenceLength > LongestWords - 1)
            {
                return line.ToString().TrimEnd() + "…";
            }

            if (prints)
            {
                line.Append(sign.ToString());
            }
            else if (line.Length > 0 && line[^1] != ' ' && line.Length < LongestWords - 1)
            {
                line.Append(' ');
            }
        }

        return line.ToString().TrimEnd();
    }
}
