using System.Globalization;
using System.Text;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>Whom outside the cell an alarm is about, and what that one says of it.</summary>
public sealed record AlarmSource
{
    /// <summary>Longest text that is passed on, in characters; what is longer stands where the alarm sends people to.</summary>
    public const int LongestWords = 120;

    private AlarmSource(string name, string words) => (Name, Words) = (name, words);

    /// <summary>Its name, as the configuration has it.</summary>
    public string Name { get; }

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
