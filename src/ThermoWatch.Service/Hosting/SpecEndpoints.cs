using Microsoft.AspNetCore.Http.HttpResults;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Hosting;

/// <summary>What somebody who writes a spec may look up: the schemas, the alloys with their sources, the ceilings of components.</summary>
internal static class SpecEndpoints
{
    private static readonly string[] s_schemas = ["spec.schema.json", "thermowatch.schema.json"];

    public static void MapSpecs(this WebApplication app)
    {
        foreach (string name in s_schemas)
        {
            string path = Path.Combine(AppContext.BaseDirectory, "Configuration", name);
            app.MapGet("/schemas/" + name, () => Results.File(path, "application/schema+json"));
        }

        app.MapGet("/api/v1/alloys", () => AlloyLibrary.All);
        app.MapGet("/api/v1/component-ceilings", Ceilings);
    }

    private static Results<Ok<ComponentCeilings>, ProblemHttpResult> Ceilings(string process, double thickness_mm, double volume_mm3, string revision = "D")
    {
        SolderProcess? solder = process switch { "SnPb" => SolderProcess.TinLead, "Pb-free" => SolderProcess.LeadFree, _ => null };
        ClassificationRevision? table = revision switch { "C" => ClassificationRevision.C, "D" => ClassificationRevision.D, _ => null };
        if (solder is null || table is null || !(thickness_mm is > 0 and <= 100) || !(volume_mm3 is > 0 and <= 1e7))
        {
            return TypedResults.Problem(
                "Give process (SnPb or Pb-free), thickness_mm (above 0 to 100), volume_mm3 (above 0 to 10000000) and, if it is not D, revision (C or D).",
                statusCode: StatusCodes.Status400BadRequest, title: "The package cannot be classified.");
        }

        var package = new PackageClass(solder.Value, thickness_mm, volume_mm3, table.Value);
        return TypedResults.Ok(new ComponentCeilings(
            package.ClassificationTemperature,
            [.. package.Ceilings([]).Select(l => new CeilingLimit(l.Figure, l.Level, l.Upper!.Value, ["body"], l.Document!))],
            "J-STD-020 classifies components. These are ceilings for a component's body; its profile is not one for a board."));
    }

    /// <summary>Ready to be put into a spec.</summary>
    /// <param name="Classification">Classification temperature, degC.</param>
    /// <param name="Limits">As limits of a spec.</param>
    /// <param name="Note">What they are not.</param>
    private sealed record ComponentCeilings(double Classification, IReadOnlyList<CeilingLimit> Limits, string Note);

    /// <summary>One limit in the words of spec files.</summary>
    private sealed record CeilingLimit(string Figure, double? Level, double Upper, IReadOnlyList<string> Places, string Document);
}
