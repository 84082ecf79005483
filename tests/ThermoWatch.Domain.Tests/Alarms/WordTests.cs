using System.Text;
using System.Text.RegularExpressions;
using CsCheck;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Conditions;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Tests;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>Every alarm says all that it must, and nothing that the product can say tells anybody to go near what is hot.</summary>
public partial class WordTests
{
    private static readonly CellDefinition s_cell = SimulatedRuns.Cell() with
    {
        Alarms = new AlarmRules
        {
            Process = ProcessControl.Open,
            Actions =
            [
                new MachineAction("VENT NOW", ActionEffect.EndHold, TimeSpan.FromSeconds(3), ["hold"]),
                new MachineAction("COOL", ActionEffect.StartCooling, TimeSpan.FromSeconds(8), []),
            ],
        },
    };

    private static AlarmPicture Alarm(string condition, double? value = 93, double? limit = 90) =>
        new(condition + "/tc1", condition, "tc1", AlarmState.Unacknowledged, SimulatedRuns.Epoch, value, limit) { Place = "tc1", Holds = true, Priority = AlarmPriority.High };

    [Fact]
    public void Every_condition_has_its_texts_and_every_text_a_condition() => Assert.All(AlarmLanguage.All, language => Assert.Equal(
        ConditionList.Names.Concat(["tooHot.vapour", "feed.named", "feedRejected.named", "feedRejected.words", "verificationDue.age", "verificationDue.work"]).Order(StringComparer.Ordinal), language.Texts.Keys.Order(StringComparer.Ordinal)));

    [Fact]
    public void Both_languages_fill_in_the_same_and_offer_the_same_actions() => Assert.All(AlarmLanguage.German.Texts, german =>
    {
        AlarmText english = AlarmTexts.English[german.Key];
        Assert.Equal(Blanks(english.What), Blanks(german.Value.What));
        Assert.Equal(Blanks(english.WhatShort), Blanks(german.Value.WhatShort));
        Assert.Equal(english.Helps, german.Value.Helps);
        Assert.NotEqual(english.Action, german.Value.Action);

        static IEnumerable<string> Blanks(string text) => Blank().Matches(text).Select(m => m.Value).Order(StringComparer.Ordinal);
    });

    [Fact]
    public void Pages_and_alarms_call_the_figures_the_same_and_call_every_one_of_them()
    {
        string[] figures = [.. FigureCatalog.All.Concat(FigureCatalog.Compared).Select(f => f.Name).Order(StringComparer.Ordinal)];
        Assert.All(AlarmLanguage.All, language =>
        {
            string page = File.ReadAllText(Path.Combine(Repository.Root, "dashboards", "src", "texts", $"figures.{language.Code}.ts"));
            Dictionary<string, string> names = NamedThere().Matches(page[page.IndexOf(" names: {", StringComparison.Ordinal)..])
                .ToDictionary(m => m.Groups["figure"].Value, m => m.Groups["name"].Value);
            Assert.Equal(figures, language.Figures.Keys.Order(StringComparer.Ordinal));
            Assert.Equal(language.Figures.OrderBy(f => f.Key, StringComparer.Ordinal), names.OrderBy(f => f.Key, StringComparer.Ordinal));
        });
    }

    [Fact]
    public void Pages_have_a_name_for_every_condition() => Assert.All(AlarmLanguage.All, language =>
    {
        string page = File.ReadAllText(Path.Combine(Repository.Root, "dashboards", "src", "texts", $"alarms.{language.Code}.ts"));
        string[] named = [.. ConditionThere().Matches(page[page.IndexOf(" conditions: {", StringComparison.Ordinal)..]).Select(m => m.Groups["condition"].Value)];
        Assert.Empty(ConditionList.Names.Except(named));
    });

    [Fact]
    public void Every_alarm_tells_what_where_consequence_action_and_time_with_nothing_left_blank()
    {
        foreach (string condition in ConditionList.Names)
        {
            foreach ((double? value, double? limit) in ((double?, double?)[])[(93.25, 90), (null, null), (1, null), (null, 1)])
            {
                foreach (AlarmLanguage language in AlarmLanguage.All)
                {
                    AlarmTelling telling = AlarmTelling.Of(Alarm(condition, value, limit) with { Figure = "coolingRate" }, s_cell, SimulatedRuns.Epoch, [], language);
                    foreach (string text in (string[])[telling.Where, telling.What, telling.Consequence, telling.Action, telling.HowLong])
                    {
                        Assert.False(string.IsNullOrWhiteSpace(text), $"{condition} leaves something out");
                        Assert.DoesNotMatch(@"[{}]|  | ,|\s\.$", text);
                    }
                }
            }
        }
    }

    [Fact]
    public void An_alarm_of_a_condition_that_has_no_texts_is_told_by_its_name()
    {
        var step = new AlarmEvent(SimulatedRuns.Epoch, "sinking/tc1", "sinking", "tc1", AlarmState.Unacknowledged, Predicted: false, 93, 90, Run: 4);
        Assert.Equal("tc1: “sinking”, 93\u00a0°C, at most 90\u00a0°C allowed.", AlarmTelling.Of(step, s_cell).What);
        Assert.Equal("tc1: „sinking“.", AlarmTelling.Of(step with { Value = null, Limit = null }, s_cell, AlarmLanguage.German).What);
        Assert.Equal("rim: “sinking”.", AlarmTelling.Of(step with { AlarmId = "sinking/rim", ChannelId = "rim", Value = null, Limit = null }, s_cell).What); // a channel that is wired no longer
    }

    [Fact]
    public void An_alarm_that_does_not_hold_says_nothing_is_wrong_now()
    {
        AlarmPicture holds = Alarm("deviceSilent", null, null) with { Place = "amp", ChannelId = null };
        string What(AlarmPicture alarm, AlarmLanguage? language = null) => AlarmTelling.Of(alarm, s_cell, SimulatedRuns.Epoch, [], language).What;
        Assert.Equal("No data from Amplifier.", What(holds));
        Assert.Equal("Over: No data from Amplifier.", What(holds with { Holds = false, State = AlarmState.ReturnedUnacknowledged }));
        Assert.Equal("Vorbei: Keine Daten von Amplifier.", What(holds with { Holds = false, State = AlarmState.ReturnedUnacknowledged }, AlarmLanguage.German));
        Assert.Equal("It watches for: No data from Amplifier.", What(holds with { Holds = false, State = AlarmState.OutOfService, Since = default }));

        string Said(AlarmState state, AlarmSignal signal) => AlarmTelling.Of(
            new AlarmEvent(SimulatedRuns.Epoch, "deviceSilent/amp", "deviceSilent", null, state, Predicted: false, null, null, null) { Signal = signal }, s_cell).What;
        Assert.Equal("No data from Amplifier.", Said(AlarmState.Unacknowledged, AlarmSignal.ConditionActive));
        Assert.Equal("No data from Amplifier.", Said(AlarmState.Acknowledged, AlarmSignal.Acknowledge));
        Assert.Equal("Over: No data from Amplifier.", Said(AlarmState.Normal, AlarmSignal.ConditionClears));
        Assert.Equal("It watches for: No data from Amplifier.", Said(AlarmState.Shelved, AlarmSignal.Shelve));
        Assert.Equal("It watches for: No data from Amplifier.", Said(AlarmState.Normal, AlarmSignal.ReturnNormal));
    }

    [Fact]
    public void An_alarm_of_a_feed_names_it_and_quotes_the_system_that_it_goes_to()
    {
        string What(string condition, AlarmSource? source, AlarmLanguage? language = null) =>
            AlarmTelling.Of(Alarm(condition) with { Place = "cell", ChannelId = null }, s_cell, SimulatedRuns.Epoch, [], language, source).What;

        Assert.Equal("Lines of feed historian are refused by the system that it goes to: 93 so far. It says “field type conflict”.", What("feedRejected", AlarmSource.Of("historian", "field type conflict")));
        Assert.Equal("Zeilen der Weitergabe historian lehnt das empfangende System ab: bisher 93. Es sagt dazu „field type conflict“.", What("feedRejected", AlarmSource.Of("historian", "field type conflict"), AlarmLanguage.German));
        Assert.Equal("Lines of feed historian are refused by the system that it goes to: 93 so far.", What("feedRejected", AlarmSource.Of("historian")));
        Assert.Equal("Lines of a feed are refused by the system that it goes to: 93 so far.", What("feedRejected", null));
        Assert.Equal("Feed historian is 93\u00a0s behind, at most 90\u00a0s allowed.", What("feed", AlarmSource.Of("historian", "words that this alarm has no place for")));
        Assert.Equal("Die Weitergabe historian ist 93\u00a0s zurück, höchstens 90\u00a0s erlaubt.", What("feed", AlarmSource.Of("historian"), AlarmLanguage.German));
        Assert.Equal("A feed is 93\u00a0s behind, at most 90\u00a0s allowed.", What("feed", null));
        Assert.Equal(What("tooHot", null), What("tooHot", AlarmSource.Of("historian", "x")));
        Assert.Equal("Lines of a feed are refused by the system that it goes to.", AlarmTelling.Of(Alarm("feedRejected", null, null), s_cell, SimulatedRuns.Epoch, [], null, AlarmSource.Of("historian", "x")).What);
    }

    [Theory]
    [InlineData("unable to parse 'a b':\r\n\tbad timestamp\0", "unable to parse 'a b': bad timestamp")]
    [InlineData("  ", "")]
    [InlineData("abc\u202Etxt.exe", "abc txt.exe")] // turns the direction of writing
    [InlineData("too many open files", "")] // no text here says that word, whoever says it
    [InlineData("{value} {limit} {feed}", "{value} {limit} {feed}")]
    public void Words_of_others_come_on_one_line_and_none_that_no_text_may_say(string said, string passedOn)
    {
        AlarmSource source = AlarmSource.Of("historian", said);
        Assert.Equal(passedOn, source.Words);
        if (passedOn.Length > 0)
        {
            Assert.EndsWith($"It says “{passedOn}”.", AlarmTelling.Of(Alarm("feedRejected"), s_cell, SimulatedRuns.Epoch, [], null, source).What, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Words_of_others_are_cut_short_and_no_sign_is_halved() => Gen.String.Sample(said =>
    {
        string words = AlarmSource.Of("x", said).Words;
        Assert.True(words.Length <= AlarmSource.LongestWords);
        Assert.DoesNotContain(words, char.IsControl);
        Assert.Equal(words, Encoding.UTF8.GetString(Encoding.UTF8.GetBytes(words)));
        Assert.Null(ForbiddenWords.In(words));
        string many = AlarmSource.Of("x", string.Concat(Enumerable.Repeat("\U0001F525 word ", 60))).Words;
        Assert.EndsWith("…", many, StringComparison.Ordinal);
        Assert.InRange(many.Length, 100, AlarmSource.LongestWords);
    });

    [Fact]
    public void An_action_is_offered_in_an_open_process_in_its_phase_and_if_it_comes_in_time()
    {
        AlarmPicture alarm = Alarm("timeAboveLiquidus") with { Figure = "timeAboveLiquidus", Deadline = SimulatedRuns.Epoch.AddSeconds(10) };
        AlarmTelling inHold = AlarmTelling.Of(alarm, s_cell, SimulatedRuns.Epoch, ["hold", "reflow"]);
        Assert.Equal("tc1 has been liquid for 93\u00a0s, at most 90\u00a0s allowed.", inHold.What);
        Assert.StartsWith("VENT NOW, at the machine’s own control", inHold.Action, StringComparison.Ordinal);
        Assert.Equal((7, "There are 7\u00a0s left."), (inHold.SecondsToAct!.Value, inHold.HowLong));

        AlarmTelling later = AlarmTelling.Of(alarm, s_cell, SimulatedRuns.Epoch.AddSeconds(1), ["reflow"]);
        Assert.StartsWith("COOL", later.Action, StringComparison.Ordinal);
        AlarmTelling tooLate = AlarmTelling.Of(alarm, s_cell, SimulatedRuns.Epoch.AddSeconds(5), ["reflow"]);
        Assert.StartsWith("Keep the chamber closed", tooLate.Action, StringComparison.Ordinal);
    }

    [Fact]
    public void A_locked_process_is_never_told_to_act_at_the_machine()
    {
        CellDefinition locked = s_cell with { Alarms = s_cell.Alarms with { Process = ProcessControl.Locked } };
        AlarmTelling telling = AlarmTelling.Of(Alarm("timeAboveLiquidus"), locked, SimulatedRuns.Epoch, ["hold"]);
        Assert.DoesNotContain("VENT NOW", telling.Action, StringComparison.Ordinal);
        Assert.Contains("Keep these boards apart after unloading.", telling.Action, StringComparison.Ordinal);
        Assert.Equal(ProcessControl.Locked, new AlarmRules().Process);
    }

    [Theory]
    [InlineData("Open the door.", "Open")]
    [InlineData("You may reach into the chamber", "reach into")]
    [InlineData("take the boards out", "take the boards out")]
    [InlineData("Remove it", "Remove")]
    [InlineData("bypassing the switch", "bypassing")]
    [InlineData("It is safe now.", "safe")]
    [InlineData("All OK", "OK")]
    [InlineData("Nothing is lost.", "Nothing is lost")]
    [InlineData("the machine is not affected", "machine is not affected")]
    [InlineData("Kammer öffnen", "öffnen")]
    [InlineData("Baugruppe herausnehmen", "herausnehmen")]
    [InlineData("Die Maschine ist nicht betroffen", "Maschine ist nicht betroffen")]
    [InlineData("Das ist sicher", "sicher")]
    [InlineData("Die Sicherung ist alt", null)]
    [InlineData("an open circuit at tc1", null)]
    [InlineData("It is not a safety function.", null)]
    [InlineData("Opening a file is no instruction, but it reads like one", "Opening")]
    public void Forbidden_words_are_found_and_terms_of_the_trade_are_not(string text, string? word) => Assert.Equal(word, ForbiddenWords.In(text));

    [Fact]
    public void No_alarm_says_a_forbidden_word()
    {
        string[] all = [.. AlarmLanguage.All.SelectMany(language => language.Sentences)];
        Assert.True(all.Length > 200, $"only {all.Length} texts found: the test no longer reads them");
        Assert.All(all, text => Assert.Null(ForbiddenWords.In(text)));
    }

    [Fact]
    public void No_text_of_the_pages_says_a_forbidden_word()
    {
        string[] files = Directory.GetFiles(Path.Combine(Repository.Root, "dashboards", "src", "texts"), "*.ts");
        string[] texts = [.. files.SelectMany(f => Quoted().Matches(File.ReadAllText(f)).Select(m => m.Value))];
        Assert.True(texts.Length > 200, $"only {texts.Length} texts found: the test no longer reads them");
        Assert.All(texts, text => Assert.True(ForbiddenWords.In(text) is null, $"\"{text}\" says \"{ForbiddenWords.In(text)}\""));
    }

    [Fact]
    public void No_text_of_service_and_drivers_says_a_forbidden_word()
    {
        string[] files =
        [
            .. new[] { "ThermoWatch.Service", "ThermoWatch.Acquisition", "ThermoWatch.Recording", "ThermoWatch.Domain" }
                .SelectMany(room => Directory.GetFiles(Path.Combine(Repository.Root, "src", room), "*.cs", SearchOption.AllDirectories))
                .Where(f => !f.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}") && Path.GetFileName(f) != "ForbiddenWords.cs"),
        ];
        int read = 0;
        List<string> said = [];
        foreach (string file in files)
        {
            foreach (string text in Sentences(File.ReadAllText(file)))
            {
                read++;
                if (ForbiddenWords.In(text) is { } word && !IsAddressedToPrograms(text))
                {
                    said.Add($"{Path.GetFileName(file)}: \"{text}\" says \"{word}\"");
                }
            }
        }

        Assert.True(read > 300, $"only {read} texts found: the test no longer reads them");
        Assert.True(said.Count == 0, string.Join(Environment.NewLine, said));
    }

    /// <summary>Words of one piece are names in files and messages; only what has a blank in it is said to people.</summary>
    private static IEnumerable<string> Sentences(string source)
    {
        var code = new StringBuilder();
        foreach (string line in source.Split('\n'))
        {
            string trimmed = line.TrimStart();
            if (!trimmed.StartsWith("//", StringComparison.Ordinal))
            {
                code.Append(line).Append('\n');
            }
        }

        return Literal().Matches(code.ToString()).Select(m => Hole().Replace(m.Value.Trim('"'), "")).Where(t => t.Contains(' ', StringComparison.Ordinal));
    }

    /// <summary>Statements for the database, and where to point a browser or a port: no text about a machine.</summary>
    private static bool IsAddressedToPrograms(string text) =>
        text.Contains("SELECT ", StringComparison.Ordinal) || text.Contains("$open", StringComparison.Ordinal) || AboutFilesAndPages().IsMatch(text);

    [GeneratedRegex("\"(?:[^\"\\\\\n]|\\\\.)*\"|`(?:[^`\\\\]|\\\\.)*`")]
    private static partial Regex Quoted();

    [GeneratedRegex("\"(?:[^\"\\\\\n]|\\\\.)*\"")]
    private static partial Regex Literal();

    [GeneratedRegex("""^ {6}"?(?<condition>[\w.]+)"?: "[^"]+",""", RegexOptions.Multiline)]
    private static partial Regex ConditionThere();

    [GeneratedRegex("""^ {6}(?<figure>\w+): "(?<name>[^"]*)",""", RegexOptions.Multiline)]
    private static partial Regex NamedThere();

    [GeneratedRegex(@"\{\w+\}")]
    private static partial Regex Blank();

    [GeneratedRegex(@"\{[^{}]*\}?")]
    private static partial Regex Hole();

    [GeneratedRegex(@"\b(file|port|page|browser|address|http|socket|folder|journal|connection|record|block|entries)\b", RegexOptions.IgnoreCase)]
    private static partial Regex AboutFilesAndPages();
}
