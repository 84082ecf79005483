using System.Collections.Immutable;
using System.Text.Json;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>Turns the JSON of a spec into a spec, and collects what is wrong with its form.</summary>
internal sealed class SpecReader(List<SpecFault> faults)
{
    private static readonly SpecKeys s_root = new(
        ["name", "version", "alloy", "limits"],
        ["$schema", "channelAlloys", "fluid", "soak", "vacuum", "classification", "slopeWindow", "uncertainty", "measurement", "componentCeilings", "product", "recipe", "codes"]);

    private readonly JsonFields _json = new(faults);
    private readonly List<string> _limitPaths = [];

    /// <summary>Where each limit of the spec stands in the file: those of components come after the spec's own.</summary>
    public IReadOnlyList<string> LimitPaths => _limitPaths;

    public Spec? Read(JsonElement root)
    {
        if (!_json.Is(root, "$", s_root))
        {
            return null;
        }

        _json.Text(root, "$", "$schema");
        return new Spec
        {
            Name = _json.Text(root, "$", "name") ?? "",
            Version = (int)(_json.Number(root, "$", "version", 1, int.MaxValue, whole: true) ?? 1),
            Alloy = _json.Field(root, "alloy") is { } alloy ? ReadAlloy(alloy, "$.alloy") : new Alloy("", 0, 0),
            ChannelAlloys = ReadChannelAlloys(root),
            Fluid = _json.Field(root, "fluid") is { } fluid ? ReadFluid(fluid) : null,
            Product = _json.Text(root, "$", "product"),
            Recipe = (int?)_json.Number(root, "$", "recipe", 0, 65535, whole: true),
            Codes = [.. _json.Items(root, "$", "codes").Select(code => _json.AsText(code.Json, code.Path) ?? "")],
            Soak = _json.Field(root, "soak") is { } soak ? ReadSoak(soak) : null,
            Vacuum = _json.Field(root, "vacuum") is { } vacuum ? ReadVacuum(vacuum) : null,
            Classification = _json.Number(root, "$", "classification", 0, 500),
            SlopeWindow = _json.Number(root, "$", "slopeWindow", 0.1, 600) ?? 5,
            Uncertainty = _json.OneOf(root, "$", "uncertainty", s_rules) ?? DecisionRule.Simple,
            Measurement = _json.Field(root, "measurement") is { } chain ? ReadMeasurement(chain) : null,
            Limits =
            [
                .. _json.Items(root, "$", "limits").Select(ReadLimit),
                .. _json.Items(root, "$", "componentCeilings").SelectMany(item => ReadComponent(item)),
            ],
        };
    }

    private static readonly string[] s_meltingRange = ["solidus", "liquidus"];

    private static readonly Dictionary<string, DecisionRule> s_rules = new() { ["simple"] = DecisionRule.Simple, ["guarded"] = DecisionRule.Guarded };

    private static readonly Dictionary<string, Severity> s_severities = new() { ["fail"] = Severity.Fail, ["warn"] = Severity.Warn };

    private static readonly Dictionary<string, string> s_purposes = new() { ["void"] = "void", ["preheat"] = "preheat" };

    private static readonly Dictionary<string, string> s_pressureUnits = FileUnits.Pressures.ToDictionary(u => u);

    private static readonly Dictionary<string, SolderProcess> s_processes = new() { ["SnPb"] = SolderProcess.TinLead, ["Pb-free"] = SolderProcess.LeadFree };

    private static readonly Dictionary<string, ClassificationRevision> s_revisions = new() { ["C"] = ClassificationRevision.C, ["D"] = ClassificationRevision.D };

    private static readonly Dictionary<string, Place> s_places =
        new() { ["joint"] = Place.Joint, ["body"] = Place.Body, ["board"] = Place.Board, ["air"] = Place.Air };

    private Alloy ReadAlloy(JsonElement json, string path)
    {
        var none = new Alloy("", 0, 0);
        if (json.ValueKind == JsonValueKind.String)
        {
            return _json.AsText(json, path) is { Length: > 0 } name ? FromLibrary(name, path) : none;
        }

        if (!_json.Is(json, path, new(["name"], ["solidus", "liquidus"])))
        {
            return none;
        }

        string? named = _json.Text(json, path, "name");
        bool own = _json.Field(json, "solidus") is not null || _json.Field(json, "liquidus") is not null;
        if (!own)
        {
            return named is { Length: > 0 } ? FromLibrary(named, path) : none;
        }

        // A sheet's own temperatures come as a pair: half of one and half of the library's would be nobody's alloy.
        foreach (string missing in s_meltingRange.Where(key => _json.Field(json, key) is null))
        {
            faults.Add(new($"{path}.{missing}", $"{path}.{missing} is missing.", $"Add \"{missing}\", or give the name alone for the library's."));
        }

        return new Alloy(named ?? "", _json.Number(json, path, "solidus", 0, 1000) ?? 0, _json.Number(json, path, "liquidus", 0, 1000) ?? 0);
    }

    private Alloy FromLibrary(string name, string path)
    {
        if (AlloyLibrary.Find(name) is { } known)
        {
            return new Alloy(known.Name, known.Solidus, known.Liquidus);
        }

        faults.Add(new(
            path, $"{path} is \"{name}\", which is no alloy of the library.",
            $"Did you mean {string.Join(", ", AlloyLibrary.Near(name))}? Else give \"solidus\" and \"liquidus\" from the paste's sheet."));
        return new Alloy(name, 0, 0);
    }

    private ImmutableDictionary<string, Alloy> ReadChannelAlloys(JsonElement root)
    {
        if (_json.Field(root, "channelAlloys") is not { } json || !_json.IsObject(json, "$.channelAlloys"))
        {
            return ImmutableDictionary<string, Alloy>.Empty;
        }

        return json.EnumerateObject().ToImmutableDictionary(p => p.Name, p => ReadAlloy(p.Value, $"$.channelAlloys.{p.Name}"));
    }

    private Fluid? ReadFluid(JsonElement json) => _json.Is(json, "$.fluid", new(["name", "boilingPoint"], ["at_hPa", "evaporation_kJ_mol"]))
        ? new Fluid(
            _json.Text(json, "$.fluid", "name") ?? "",
            _json.Number(json, "$.fluid", "boilingPoint", 0, 500) ?? 0,
            _json.Number(json, "$.fluid", "at_hPa", 1, 2000) ?? 1013.25,
            _json.Number(json, "$.fluid", "evaporation_kJ_mol", 10, 200))
        : null;

    private SoakBand? ReadSoak(JsonElement json) => _json.Is(json, "$.soak", new(["from", "to"], []))
        ? new SoakBand(_json.Number(json, "$.soak", "from", 0, 500) ?? 0, _json.Number(json, "$.soak", "to", 0, 500) ?? 0)
        : null;

    private VacuumSpec? ReadVacuum(JsonElement json)
    {
        if (!_json.Is(json, "$.vacuum", new(["target"], ["unit", "steps"])))
        {
            return null;
        }

        string unit = _json.OneOf(json, "$.vacuum", "unit", s_pressureUnits) ?? "mbar";
        double target = FileUnits.ToMillibar(_json.Number(json, "$.vacuum", "target", double.Epsilon, double.MaxValue) ?? 1, unit);
        var steps = _json.Items(json, "$.vacuum", "steps").Select(step =>
        {
            bool formed = _json.Is(step.Json, step.Path, new(["purpose"], ["target"]));
            string purpose = formed ? _json.OneOf(step.Json, step.Path, "purpose", s_purposes) ?? "void" : "void";
            double? own = formed ? _json.Number(step.Json, step.Path, "target", double.Epsilon, double.MaxValue) : null;
            return new VacuumStepSpec(purpose, own is { } value ? FileUnits.ToMillibar(value, unit) : target);
        });
        return new VacuumSpec(target, [.. steps]);
    }

    private MeasurementChain? ReadMeasurement(JsonElement json)
    {
        const string Path = "$.measurement";
        if (!_json.Is(json, Path, new(["class"], ["extension", "coldJunction_K", "instrument_K", "resolution_K", "attachment_K", "gauge_mbar", "gauge_share"])))
        {
            return null;
        }

        return new MeasurementChain(
            (int)(_json.Number(json, Path, "class", 1, 2, whole: true) ?? 1),
            (int?)_json.Number(json, Path, "extension", 1, 2, whole: true),
            _json.Number(json, Path, "coldJunction_K", 0, 100) ?? 0,
            _json.Number(json, Path, "instrument_K", 0, 100) ?? 0,
            _json.Number(json, Path, "resolution_K", 0, 100) ?? 0,
            _json.Number(json, Path, "attachment_K", 0, 100))
        {
            GaugeMillibar = _json.Number(json, Path, "gauge_mbar", 0, 1000),
            GaugeShare = _json.Number(json, Path, "gauge_share", 0, 1),
        };
    }

    private Limit ReadLimit((JsonElement Json, string Path) item)
    {
        (JsonElement json, string path) = item;
        _limitPaths.Add(path);
        if (!_json.Is(json, path, new(["figure"], ["lower", "upper", "level", "channels", "places", "severity", "uncertainty", "document"])))
        {
            return new Limit { Figure = "" };
        }

        string figure = _json.Text(json, path, "figure") ?? "";
        if (!string.IsNullOrWhiteSpace(figure) && FigureCatalog.Find(figure) is null)
        {
            faults.Add(new($"{path}.figure", $"There is no figure \"{figure}\".", $"Use one of: {string.Join(", ", FigureCatalog.All.Select(f => f.Name))}."));
        }

        return new Limit
        {
            Figure = figure,
            Lower = _json.Number(json, path, "lower", double.MinValue, double.MaxValue),
            Upper = _json.Number(json, path, "upper", double.MinValue, double.MaxValue),
            Level = _json.Number(json, path, "level", 0, 500),
            Channels = [.. _json.Items(json, path, "channels").Select(c => _json.AsText(c.Json, c.Path) ?? "")],
            Places = [.. _json.Items(json, path, "places").Select(p => _json.AsOneOf(p.Json, p.Path, s_places) ?? Place.Joint)],
            Severity = _json.OneOf(json, path, "severity", s_severities) ?? Severity.Fail,
            Uncertainty = _json.OneOf(json, path, "uncertainty", s_rules),
            Document = _json.Text(json, path, "document"),
        };
    }

    /// <summary>The ceilings of one component, from the classification of its package.</summary>
    private ImmutableArray<Limit> ReadComponent((JsonElement Json, string Path) item)
    {
        (JsonElement json, string path) = item;
        if (!_json.Is(json, path, new(["process", "thickness_mm", "volume_mm3"], ["revision", "channels"])))
        {
            return [];
        }

        var package = new PackageClass(
            _json.OneOf(json, path, "process", s_processes) ?? SolderProcess.LeadFree,
            _json.Number(json, path, "thickness_mm", double.Epsilon, 100) ?? 1,
            _json.Number(json, path, "volume_mm3", double.Epsilon, 1e7) ?? 1,
            _json.OneOf(json, path, "revision", s_revisions) ?? ClassificationRevision.D);
        ImmutableArray<Limit> ceilings = package.Ceilings([.. _json.Items(json, path, "channels").Select(c => _json.AsText(c.Json, c.Path) ?? "")]);
        _limitPaths.AddRange(ceilings.Select(_ => path));
        return ceilings;
    }
}
