using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Api;

/// <summary>What somebody who writes a spec looks up: the alloys with their sources, the ceilings of components, the schemas.</summary>
internal static class SpecResource
{
    private static readonly string[] s_schemas = ["spec.schema.json", "thermowatch.schema.json"];

    public static void MapSpecs(this IEndpointRouteBuilder api)
    {
        api.MapGet("/alloys", () => Results.Ok(AlloyLibrary.All))
            .Produces<IReadOnlyList<LibraryAlloy>>()
            .WithSummary("Alloys that a spec may name without their temperatures, each with its source.");
        api.MapGet("/component-ceilings", Ceilings)
            .Produces<ComponentCeilings>().ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("What a package classified by J-STD-020 stands, as limits of a spec. It is no profile for a board.");
    }

    /// <summary>Schemas of the files that people write.</summary>
    public static void MapSchemas(this IEndpointRouteBuilder app)
    {
        foreach (string name in s_schemas)
        {
            string path = Path.Combine(AppContext.BaseDirectory, "Configuration", name);
            app.MapGet("/schemas/" + name, () => Results.File(path, "application/schema+json"))
                .Produces(StatusCodes.Status200OK, contentType: "application/schema+json")
                .WithSummary("JSON schema of a file that people write.");
        }
    }

    private static IResult Ceilings(string process, double thickness_mm, double volume_mm3, string revision = "D")
    {
        SolderProcess? solder = process switch { "SnPb" => SolderProcess.TinLead, "Pb-free" => SolderProcess.LeadFree, _ => null };
        ClassificationRevision? table = revision switch { "C" => ClassificationRevision.C, "D" => ClassificationRevision.D, _ => null };
        if (solder is null)
        {
            return Problems.BadRequest("process", "process is the solder that the package was classified for: SnPb or Pb-free.");
        }

        if (table is null)
        {
            return Problems.BadRequest("revision", "revision is that of the table: C or D.");
        }

        if (thickness_mm is not (> 0 and <= 100) || volume_mm3 is not (> 0 and <= 1e7))
        {
            return Problems.BadRequest("thickness_mm, volume_mm3", "Give the body's thickness, above 0 to 100 mm, and its volume without terminals, above 0 to 10000000 mm3.");
        }

        var package = new PackageClass(solder.Value, thickness_mm, volume_mm3, table.Value);
        return Results.Ok(new ComponentCeilings(
            package.ClassificationTemperature,
            [.. package.Ceilings([]).Select(l => new CeilingLimit(l.Figure, l.Level, l.Upper!.Value, ["body"], l.Document!))],
            "J-STD-020 classifies components. These are ceilings for a component's body; its profile is not one for a board."));
    }

    /// <summary>Ready to be put into a spec.</summary>
    /// <param name="Classification">Classification temperature, degC.</param>
    /// <param name="Limits">As limits of a spec.</param>
    /// <param name="Note">What they are not.</param>
    internal sealed record ComponentCeilings(double Classification, IReadOnlyList<CeilingLimit> Limits, string Note);

    /// <summary>One limit in the words of spec files.</summary>
    internal sealed record CeilingLimit(string Figure, double? Level, double Upper, IReadOnlyList<string> Places, string Document);
}
