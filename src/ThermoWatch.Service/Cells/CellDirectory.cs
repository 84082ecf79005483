namespace ThermoWatch.Service.Cells;

/// <summary>The cells of this node, in the order of the configuration.</summary>
internal sealed class CellDirectory
{
    public CellDirectory(IReadOnlyList<CellHost> all) => All = all;

    public IReadOnlyList<CellHost> All { get; }

    public CellHost? Find(int number) => All.FirstOrDefault(c => c.Definition.Number == number);
}
