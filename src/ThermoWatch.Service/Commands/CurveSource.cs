using System.Collections.Immutable;
using System.Globalization;
using ThermoWatch.Domain.Files;

namespace ThermoWatch.Service.Commands;

/// <summary>A curve file to be judged: a small one is read at once, a large one as often as it is gone through, block by block.</summary>
internal sealed class CurveSource : ICurves
{
    /// <summary>Files up to this size are held, bytes: hours at ten readings a second.</summary>
    private const long HeldUpTo = 16 << 20;

    /// <summary>Readings of one run that the engine is asked to hold: 1 GB of them.</summary>
    private const long MostReadings = 64_000_000;

    private const int BlockBytes = 1 << 18;
    private const string Changed = "has changed while it was read. Judge it again once nobody writes to it.";

    private readonly FileInfo _file;

    private CurveSource(FileInfo file, ImmutableArray<CurveHead> heads, CurveSurvey survey) => (_file, Heads, Survey) = (file, heads, survey);

    /// <inheritdoc/>
    public ImmutableArray<CurveHead> Heads { get; }

    /// <inheritdoc/>
    public CurveSurvey Survey { get; }

    /// <summary>Opens a curve file; what is wrong with it if it is none.</summary>
    /// <param name="file">The file.</param>
    /// <param name="heldUpTo">Size up to which it is held, bytes.</param>
    public static (ICurves? Curves, string Problem) Open(FileInfo file, long heldUpTo = HeldUpTo)
    {
        try
        {
            using FileStream stream = file.OpenRead();
            CurveFault? fault;
            if (!stream.CanSeek || stream.Length <= heldUpTo)
            {
                CurveFileParse parse = CurveFile.Parse(stream.CanSeek ? File.ReadAllBytes(file.FullName) : ReadToEnd(stream));
                if (parse.File is { } held)
                {
                    return (new Held(held), "");
                }

                fault = parse.Fault;
            }
            else
            {
                var survey = new CurveSurvey();
                var reader = new CurveTextReader(survey);
                fault = Read(stream, reader);
                if (fault is null)
                {
                    long readings = reader.Heads.Select((_, i) => survey.ReadingsOf(i)).Sum();
                    if (readings > MostReadings)
                    {
                        return (null, string.Create(CultureInfo.InvariantCulture,
                            $"{file.Name}: {readings:N0} readings are more than a run has; the engine holds a run's, and takes {MostReadings:N0} at most. Cut the recording into its runs."));
                    }

                    return (new CurveSource(file, reader.Heads, survey), "");
                }
            }

            return (null, $"{file.Name}: {fault}");
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            return (null, Unreadable(file, error));
        }
    }

    /// <summary>Why a file cannot be read, and what to do.</summary>
    public static string Unreadable(FileInfo file, Exception error) =>
        file.Exists ? $"{file}: cannot be read: {error.Message} Check its size and rights."
        : Directory.Exists(file.FullName) ? $"{file}: this is a folder. Name the files in it."
        : file.ToString().StartsWith('-') ? $"{file}: there is no such option, and no such file. See: thermowatch judge --help"
        : $"{file}: there is no such file. Check the name.";

    /// <inheritdoc/>
    /// <exception cref="IOException">The file is not what it was when it was opened.</exception>
    public void Read(ICurveRows rows)
    {
        using FileStream stream = _file.OpenRead();
        var same = new SameCurves(rows, Heads);
        if (Read(stream, new CurveTextReader(same)) is not null || same.Rows != Survey.Rows)
        {
            throw new IOException(Changed);
        }
    }

    private static CurveFault? Read(FileStream stream, CurveTextReader reader)
    {
        var block = new byte[BlockBytes];
        while (stream.Read(block) is > 0 and var read)
        {
            if (!reader.Push(block.AsSpan(0, read)))
            {
                return reader.Fault;
            }
        }

        reader.End();
        return reader.Fault;
    }

    private static byte[] ReadToEnd(FileStream stream)
    {
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }

    /// <summary>Curves at hand, looked over once.</summary>
    private sealed class Held(CurveFile curves) : ICurves
    {
        public ImmutableArray<CurveHead> Heads => curves.Heads;

        public CurveSurvey Survey { get; } = curves.Survey;

        public void Read(ICurveRows rows) => curves.Read(rows);
    }

    /// <summary>Counts the rows on their way, and lets none pass under another header.</summary>
    private sealed class SameCurves(ICurveRows rows, ImmutableArray<CurveHead> heads) : ICurveRows
    {
        public long Rows { get; private set; }

        public void Begin(bool isUtc, ImmutableArray<CurveHead> found)
        {
            if (!found.SequenceEqual(heads))
            {
                throw new IOException(Changed);
            }

            rows.Begin(isUtc, found);
        }

        public void Row(long ticks, ReadOnlySpan<double> values)
        {
            Rows++;
            rows.Row(ticks, values);
        }
    }
}
