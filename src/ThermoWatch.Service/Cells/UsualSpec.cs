using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Cells;

/// <summary>What a cell solders unless something tells another product.</summary>
/// <param name="Spec">The spec that the configuration names for the cell; null: such a run has none, and waits.</param>
/// <param name="IsOnly">Whether there is no other, so that nobody has to tell which.</param>
internal readonly record struct UsualSpec(Spec? Spec, bool IsOnly);
