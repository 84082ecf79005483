using ThermoWatch.Domain.Specs;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Api;

/// <summary>What a carrier carries: said by a person, a program or a scanned code.</summary>
internal static class ProductResource
{
    public static void MapProducts(this IEndpointRouteBuilder api) =>
        api.MapPost("/cells/{cell:int}/carriers/{carrier}/product", SayAsync)
            .Produces<ProductSaid>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable)
            .WithSummary("Says what a carrier's open run, or else its next one, solders: by product, or by a scanned code. Its spec judges the run; another recipe than the product's is told.");

    private static async Task<IResult> SayAsync(int cell, string carrier, ProductRequest request, CellDirectory cells)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        if (!host.Definition.Carriers.Contains(carrier))
        {
            return Problems.NotFound($"Cell {cell} has no carrier {carrier}. Carriers: {string.Join(", ", host.Definition.Carriers)}.");
        }

        if (string.IsNullOrWhiteSpace(request.By))
        {
            return Problems.BadRequest("by", "by: say who, or which scanner or program.");
        }

        var choice = new SpecChoice(host.Products);
        Spec? spec = request.Product is { } product ? choice.ByProduct(product) : request.Code is { } code ? choice.ByCode(code) : null;
        if (spec is null)
        {
            return Problems.BadRequest("product, code", choice.IsEmpty
                ? "This cell knows no spec; name them under specs in the configuration."
                : $"Neither a product nor a code of this cell fits. Products: {string.Join(", ", choice.Products)}.");
        }

        string by = request.Product is null ? $"{request.By.Trim()}, code {request.Code}" : request.By.Trim();
        (long? run, Task<bool> taken) = host.SayProduct(carrier, spec, by);
        return await taken
            ? Results.Ok(new ProductSaid(carrier, spec.Product ?? spec.Name, spec.Name, spec.Version, run))
            : Problems.Of(StatusCodes.Status503ServiceUnavailable, "The cell is busy", "Its queue is full, or the service ends. Try again.");
    }

    internal sealed record ProductRequest(string? By, string? Product, string? Code);

    /// <param name="Carrier">The carrier.</param>
    /// <param name="Product">What it carries.</param>
    /// <param name="SpecName">Spec that judges it.</param>
    /// <param name="SpecVersion">Its version.</param>
    /// <param name="Run">The open run that it is said of; null: the next one.</param>
    internal sealed record ProductSaid(string Carrier, string Product, string SpecName, int SpecVersion, long? Run);
}
