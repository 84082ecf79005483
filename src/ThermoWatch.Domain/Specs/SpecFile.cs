using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Unicode;

namespace ThermoWatch.Domain.Specs;

/// <summary>One thing that is wrong with a spec file.</summary>
/// <param name="Path">Where, as a JSON path such as <c>$.limits[2].lower</c>.</param>
/// <param name="Problem">What is wrong.</param>
/// <param name="Remedy">What to do about it.</param>
public sealed record SpecFault(string Path, string Problem, string Remedy);

/// <summary>What a spec file says: a spec, or everything that is wrong with it.</summary>
/// <param name="Spec">The spec; null if there is any fault.</param>
/// <param name="Faults">All faults at once; empty if there is a spec.</param>
public sealed record SpecParse(Spec? Spec, ImmutableArray<SpecFault> Faults);

/// <summary>Reads spec files (JSON; an unknown key is an error).</summary>
public static class SpecFile
{
    /// <summary>Reads a spec, and checks that it does not contradict itself.</summary>
    /// <param name="utf8">The file; a byte order mark is passed over.</param>
    public static SpecParse Parse(ReadOnlySpan<byte> utf8)
    {
        // The reader checks text only when it is asked for it, and then throws.
        if (!Utf8.IsValid(utf8))
        {
            return new SpecParse(null, [new SpecFault("$", "This is not UTF-8 text.", "Save the file as UTF-8.")]);
        }

        byte[] bytes = (utf8.StartsWith("\uFEFF"u8) ? utf8[3..] : utf8).ToArray();
        try
        {
            using var document = JsonDocument.Parse(bytes, new JsonDocumentOptions { AllowDuplicateProperties = false });
            var faults = new List<SpecFault>();
            var reader = new SpecReader(faults);
            Spec? spec = reader.Read(document.RootElement);
            if (faults.Count == 0)
            {
                SpecRules.Check(spec!, reader.LimitPaths, faults);
            }

            return new SpecParse(faults.Count == 0 ? spec : null, [.. faults]);
        }
        catch (JsonException error)
        {
            string where = error.LineNumber is { } line ? $" at line {line + 1}, column {error.BytePositionInLine + 1}" : "";
            return new SpecParse(null, [new SpecFault("$", $"This is not JSON{where}.", $"Correct the text there: {FirstSentence(error.Message)}")]);
        }
        catch (InvalidOperationException)
        {
            // Half of a surrogate pair in a key is valid JSON and no text; the parser finds it when it compares keys.
            return new SpecParse(null, [new SpecFault("$", "A key is not valid Unicode.", "Write the keys anew; look for \\ud8 to \\udf in them.")]);
        }
    }

    private static string FirstSentence(string message)
    {
        int end = message.IndexOf(". ", StringComparison.Ordinal);
        return end < 0 ? message : message[..(end + 1)];
    }
}
