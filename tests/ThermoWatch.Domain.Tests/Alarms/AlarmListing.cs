using System.Text.RegularExpressions;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>Alarms as people read them.</summary>
internal static partial class AlarmListing
{
    /// <summary>Every sentence of an alarm is whole and has no name in it that only programs know.</summary>
    public static void ReadAloud(AlarmEvent alarm, CellDefinition cell)
    {
        foreach (AlarmLanguage language in AlarmLanguage.All)
        {
            AlarmTelling telling = AlarmTelling.Of(alarm, cell, language);
            foreach (string text in (string[])[telling.Where, telling.What, telling.Consequence, telling.Action, telling.HowLong])
            {
                Assert.DoesNotMatch(Unreadable(), text);
                Assert.Null(ForbiddenWords.In(text));
            }

            Assert.Contains(telling.Where, telling.What, StringComparison.Ordinal);
        }
    }

    // A blank left over, quotation marks round nothing, two spaces, or a name in camel case.
    [GeneratedRegex(@"[{}]|“”|„“|  | [.,:]|\b[a-z]+[A-Z]\w*")]
    private static partial Regex Unreadable();
}
