namespace ThermoWatch.Acquisition;

/// <summary>One thing that is wrong with a configuration, and what to do about it.</summary>
/// <param name="Path">Where it stands, such as <c>devices[0].points[2].address</c>.</param>
/// <param name="Problem">What is wrong, with the value found.</param>
/// <param name="Remedy">What to write instead.</param>
public sealed record ConfigurationFault(string Path, string Problem, string Remedy)
{
    /// <summary>One line for people: path, problem, remedy.</summary>
    public override string ToString() => $"{Path}: {Problem} {Remedy}";
}
