using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads a device that talks lines of text.</summary>
internal static class TextDeviceReader
{
    private static readonly Dictionary<string, QualityReason> Reasons =
        Words.Of<QualityReason>().Where(r => r.Value != QualityReason.None).ToDictionary();

    public static TextDeviceOptions Read(JsonScope scope, string id) => new()
    {
        Id = id,
        Serial = scope.Object("serial") is { } serial ? DeviceReader.Serial(serial) : null,
        Host = scope.OptionalText("host"),
        Port = scope.Whole("port", int.MinValue, int.MaxValue, 0),
        Query = scope.OptionalText("query"),
        QueryEnd = scope.OptionalText("queryEnd") ?? "\n",
        Timeout = DeviceReader.Milliseconds(scope, "timeout_ms", 10, 30_000, 500),
        Format = Format(scope),
        Points = [.. scope.Objects("points", "Describe at least one point.").Select(Point)],
    };

    private static TextFormat Format(JsonScope device)
    {
        if (device.Object("format") is not { } scope)
        {
            device.Fault("format", "is missing", "Say how lines look: { \"layout\": \"fields\", \"fieldCount\": 4 }.");
            return new TextFormat();
        }

        TextFormat format = new()
        {
            Layout = scope.Word("layout", Words.Of<TextLayout>(), (TextLayout?)TextLayout.Fields),
            Separator = Character(scope, "separator", ','),
            FieldCount = scope.Whole("fieldCount", int.MinValue, int.MaxValue, 0),
            Checksum = scope.Word("checksum", Words.Of<TextChecksum>(), (TextChecksum?)TextChecksum.None),
            ChecksumMark = Character(scope, "checksumMark", '*'),
            Words = scope.OptionalObjects("words").Select(Word).DistinctBy(w => w.Key).ToDictionary(),
        };
        scope.NothingElse();
        return format;
    }

    private static KeyValuePair<string, QualityReason> Word(JsonScope scope)
    {
        KeyValuePair<string, QualityReason> word = new(
            scope.Text("word", "Write the word that the instrument sends."), scope.Word("means", Reasons, (QualityReason?)null));
        scope.NothingElse();
        return word;
    }

    private static char Character(JsonScope scope, string key, char byDefault)
    {
        string text = scope.OptionalText(key) ?? byDefault.ToString();
        if (text.Length != 1)
        {
            scope.Fault(key, $"is \"{text}\"", "Write one character.");
            return byDefault;
        }

        return text[0];
    }

    private static TextPoint Point(JsonScope scope)
    {
        TextPoint point = new()
        {
            Id = scope.Text("id", "Give the point a short name."),
            Field = scope.Text("field", "Write the position of its field as text, from \"0\", or its name."),
            Number = scope.Word("number", Words.Of<TextNumber>(), (TextNumber?)TextNumber.Decimal),
            FirstBit = scope.Whole("firstBit", int.MinValue, int.MaxValue, 0),
            BitCount = scope.Whole("bitCount", int.MinValue, int.MaxValue, 0),
            Signed = scope.Flag("signed"),
            Plausible = DeviceReader.Plausible(scope),
        };
        scope.NothingElse();
        return point;
    }
}
