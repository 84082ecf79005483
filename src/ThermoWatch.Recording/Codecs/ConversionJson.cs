using System.Text.Json;
using System.Text.Json.Serialization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Codecs;

/// <summary><c>{"channel":"cj"}</c>, <c>{"celsius":0}</c> or <c>{"applied":true}</c>.</summary>
internal sealed class ColdJunctionConverter : JsonConverter<ColdJunctionSource>
{
    public override ColdJunctionSource Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        Form form = JsonSerializer.Deserialize<Form>(ref reader, options)!;
        return form switch
        {
            { Channel: { } id } => new ColdJunctionSource.FromChannel(id),
            { Celsius: { } celsius } => new ColdJunctionSource.Fixed(celsius),
            { Applied: true } => new ColdJunctionSource.AlreadyApplied(),
            _ => throw new JsonException("A cold junction names a channel, a temperature, or that the instrument has applied it."),
        };
    }

    public override void Write(Utf8JsonWriter writer, ColdJunctionSource value, JsonSerializerOptions options) =>
        JsonSerializer.Serialize(
            writer,
            value switch
            {
                ColdJunctionSource.FromChannel channel => new Form { Channel = channel.ChannelId },
                ColdJunctionSource.Fixed known => new Form { Celsius = known.Celsius },
                _ => new Form { Applied = true },
            },
            options);

    private sealed record Form
    {
        [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
        public string? Channel { get; init; }

        [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
        public double? Celsius { get; init; }

        [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
        public bool? Applied { get; init; }
    }
}

/// <summary>The law's name and its numbers: <c>{"law":"linear","numbers":[4,20,0,1000]}</c>; a table's points follow one another.</summary>
internal sealed class AnalogueLawConverter : JsonConverter<AnalogueLaw>
{
    public override AnalogueLaw Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        Form form = JsonSerializer.Deserialize<Form>(ref reader, options)!;
        double[] n = form.Numbers;
        return (form.Law, n.Length) switch
        {
            ("linear", 4) => new AnalogueLaw.Linear(n[0], n[1], n[2], n[3]),
            ("logarithmic", 2) => new AnalogueLaw.Logarithmic(n[0], n[1]),
            ("pseudoLogarithmic", 0) => new AnalogueLaw.PseudoLogarithmic(),
            ("table", >= 4) => new AnalogueLaw.Table([.. n.Chunk(2).Select(p => (p[0], p[1]))]),
            _ => throw new JsonException($"No law is called {form.Law} and has {n.Length} numbers."),
        };
    }

    public override void Write(Utf8JsonWriter writer, AnalogueLaw value, JsonSerializerOptions options) =>
        JsonSerializer.Serialize(
            writer,
            value switch
            {
                AnalogueLaw.Linear l => new Form("linear", [l.FromSignal, l.ToSignal, l.FromValue, l.ToValue]),
                AnalogueLaw.Logarithmic l => new Form("logarithmic", [l.A, l.B]),
                AnalogueLaw.PseudoLogarithmic => new Form("pseudoLogarithmic", []),
                AnalogueLaw.Table t => new Form("table", [.. t.Points.SelectMany(p => new[] { p.Signal, p.Value })]),
                _ => throw new JsonException($"{value.GetType().Name} has no form in records."),
            },
            options);

    private sealed record Form(string Law, double[] Numbers);
}

/// <summary>A list of certificates.</summary>
internal sealed class CalibrationHistoryConverter : JsonConverter<CalibrationHistory>
{
    public override CalibrationHistory Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        new(JsonSerializer.Deserialize<Form[]>(ref reader, options)!.Select(form => new Calibration(form.Points)
        {
            Version = form.Version,
            ValidFrom = form.ValidFrom,
            Due = form.Due,
            Certificate = form.Certificate,
            ExpandedUncertainty = form.ExpandedUncertainty,
            CoverageFactor = form.CoverageFactor,
        }));

    public override void Write(Utf8JsonWriter writer, CalibrationHistory value, JsonSerializerOptions options) =>
        JsonSerializer.Serialize(
            writer,
            value.Calibrations.Select(c => new Form(
                c.Version, c.ValidFrom, c.Due, c.Certificate, c.ExpandedUncertainty, c.CoverageFactor, [.. c.Points])).ToArray(),
            options);

    private sealed record Form(
        int Version, Timestamp ValidFrom, Timestamp? Due, string Certificate, double? ExpandedUncertainty, double CoverageFactor, CalibrationPoint[] Points);
}
