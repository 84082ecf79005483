namespace ThermoWatch.Acquisition.Probing;

/// <summary>What a probe is doing.</summary>
/// <param name="Step">In plain words, such as <c>reading tc1</c>.</param>
/// <param name="Done">Parts of this step that are done.</param>
/// <param name="Of">Parts of this step.</param>
public sealed record ProbeProgress(string Step, int Done, int Of);

/// <summary>What came of a wish to probe a device on a line that is being polled.</summary>
/// <param name="Report">What the device said; null if it was not asked.</param>
/// <param name="Refusal">Why it was not asked, and what to do; null if it was.</param>
public sealed record ProbeOutcome(ProbeReport? Report, string? Refusal);
