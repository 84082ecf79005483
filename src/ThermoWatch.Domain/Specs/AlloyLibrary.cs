using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;

namespace ThermoWatch.Domain.Specs;

/// <summary>A solder alloy whose melting range is published.</summary>
/// <param name="Name">Short name, such as SAC305; the composition where the trade has none.</param>
/// <param name="Composition">Elements with their share of the mass in percent, such as Sn96.5Ag3.0Cu0.5.</param>
/// <param name="Solidus">°C.</param>
/// <param name="Liquidus">°C.</param>
/// <param name="Source">Where the two temperatures stand, and what other lists say.</param>
public sealed record LibraryAlloy(string Name, string Composition, double Solidus, double Liquidus, string Source);

/// <summary>The alloys that a spec may name without giving their temperatures.</summary>
/// <remarks>
/// Lists differ by 1 to 3 K for alloys with a melting range. A spec that gives its own temperatures, from the paste's sheet, is
/// always believed; the library is for those who only know the name.
/// </remarks>
public static partial class AlloyLibrary
{
    private const string Maker = "Solder maker alloy table (indium.com/blog/solder-paste-alloys.php, seen as stored page)";
    private const string Compiled = "Compiled alloy table (alasir.com/reference/solder_alloys, seen as stored page)";
    private const int NearNames = 3;

    /// <summary>All alloys of the library, each with its source.</summary>
    public static ImmutableArray<LibraryAlloy> All { get; } =
    [
        Plain("Sn63Pb37", 183, 183, $"{Maker}; eutectic"),
        Plain("Sn60Pb40", 183, 191, $"{Compiled}; other lists give liquidus 190"),
        Plain("Sn62Pb36Ag2", 179, 179, $"{Maker}; eutectic"),
        new("SAC305", "Sn96.5Ag3.0Cu0.5", 217, 220, $"{Maker} and {Compiled}; ternary eutectic 217.2 +-0.2 from NIST "
            + "(Moon and Boettinger JOM 56(4) 2004, abstract on nist.gov); J-STD-020 uses TL = 217 for all Pb-free"),
        new("SAC387", "Sn95.5Ag3.8Cu0.7", 217, 220,
            $"{Compiled}; near the NIST ternary eutectic 217.2 so the liquidus is often given as 217 to 219 (from memory)"),
        new("SAC405", "Sn95.5Ag4.0Cu0.5", 217, 220, Compiled),
        new("SAC105", "Sn98.5Ag1.0Cu0.5", 215, 227, $"{Compiled}; other lists give solidus 217"),
        Plain("Sn99.3Cu0.7", 227, 227, $"{Compiled}; eutectic"),
        Plain("Sn96.5Ag3.5", 221, 221, $"{Maker} and {Compiled}; eutectic"),
        Plain("Sn42Bi58", 138, 138, $"{Maker}; eutectic; other lists 139"),
        Plain("Sn42Bi57Ag1", 139, 140, $"{Maker}; other lists 137 to 139"),
        Plain("Sn95Sb5", 235, 240, $"{Maker}; other lists give solidus 232 or 234"),
        Plain("Pb92.5Sn5Ag2.5", 287, 296, Maker),
        Plain("Pb93.5Sn5Ag1.5", 296, 301, "from memory (common solder lists); no source page found - confirm against the paste data sheet"),
        Plain("Pb88Sn10Ag2", 267, 299, $"{Maker}; other lists 268 to 290"),
        Plain("Pb95Sn5", 308, 312, Maker),
        Plain("In52Sn48", 118, 118, $"{Maker}; eutectic"),
        Plain("In97Ag3", 143, 143, $"{Maker}; eutectic"),
        Plain("Au80Sn20", 280, 280, $"{Maker}; eutectic"),
    ];

    /// <summary>
    /// The alloy of that short name or composition; null if there is none. Case, separators and the order of the elements do not
    /// matter, and one element may stand without its share: sac305, SnAg3.0Cu0.5 and Sn96.5/Ag3.0/Cu0.5 are one alloy.
    /// </summary>
    public static LibraryAlloy? Find(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        string plain = Plain(name);
        string? shares = Shares(name);
        return All.FirstOrDefault(a => Plain(a.Name) == plain || (shares is not null && Shares(a.Composition) == shares));
    }

    /// <summary>Names of the alloys that are written most alike, nearest first.</summary>
    public static ImmutableArray<string> Near(string name)
    {
        ArgumentNullException.ThrowIfNull(name);

        // A name is not that long; comparing costs the square of it.
        string plain = Plain(name.Length <= 60 ? name : name[..60]);
        return [.. All.OrderBy(a => Math.Min(Distance(plain, Plain(a.Name)), Distance(plain, Plain(a.Composition)))).Take(NearNames).Select(a => a.Name)];
    }

    [GeneratedRegex(@"\G(?<element>[A-Z][a-z]?)(?<share>\d{1,3}(\.\d{1,4})?)?", RegexOptions.CultureInvariant)]
    private static partial Regex ElementWithShare();

    private static LibraryAlloy Plain(string composition, double solidus, double liquidus, string source) =>
        new(composition, composition, solidus, liquidus, source);

    private static string Plain(string name) => string.Concat(name.Where(c => char.IsAsciiLetterOrDigit(c) || c == '.')).ToUpperInvariant();

    /// <summary>The composition in one way of writing; null if it is none.</summary>
    private static string? Shares(string name)
    {
        string text = string.Concat(name.Where(c => char.IsAsciiLetterOrDigit(c) || c == '.'));
        var shares = new SortedDictionary<string, decimal?>(StringComparer.Ordinal);
        int at = 0;
        for (Match match = ElementWithShare().Match(text); match.Success; match = match.NextMatch())
        {
            decimal? share = match.Groups["share"].Success ? decimal.Parse(match.Groups["share"].Value, CultureInfo.InvariantCulture) : null;
            if (!shares.TryAdd(match.Groups["element"].Value, share))
            {
                return null;
            }

            at = match.Index + match.Length;
        }

        int open = shares.Values.Count(s => s is null);
        if (at < text.Length || shares.Count < 2 || open > 1)
        {
            return null;
        }

        decimal rest = 100 - shares.Values.Sum(s => s ?? 0);
        return string.Join(' ', shares.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Key}{(s.Value ?? rest):0.####}")));
    }

    /// <summary>Least number of characters to add, drop or change.</summary>
    private static int Distance(string a, string b)
    {
        int[] last = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = last[0];
            last[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int change = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
                diagonal = last[j];
                last[j] = Math.Min(change, Math.Min(last[j], last[j - 1]) + 1);
            }
        }

        return last[b.Length];
    }
}
