namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>Mean over a whole number of mains periods, in which their pickup cancels.</summary>
/// <remarks>
/// Only for readings faster than twice the mains: slower ones have already folded the pickup into something that looks like a
/// temperature (at 10 readings/s 50 Hz is a constant, 50.1 Hz a slow swing), and no filter can take it out again.
/// </remarks>
public sealed class MainsAverage
{
    private const double MostSeconds = 1;
    private const double Tolerance = 1e-6;

    private readonly double _samplesPerSecond;

    private MainsAverage(int length, double samplesPerSecond)
    {
        Length = length;
        _samplesPerSecond = samplesPerSecond;
    }

    /// <summary>How many readings it averages.</summary>
    public int Length { get; }

    /// <summary>The shortest average that cancels all the given mains frequencies.</summary>
    /// <param name="samplesPerSecond">Readings a second.</param>
    /// <param name="mainsHertz">50, 60, or both.</param>
    /// <returns>Null when the readings are too slow, or when no whole number of them within a second fits the periods.</returns>
    public static MainsAverage? For(double samplesPerSecond, params ReadOnlySpan<double> mainsHertz)
    {
        foreach (double hertz in mainsHertz)
        {
            if (!(samplesPerSecond > 2 * hertz)) return null;
        }

        for (int length = 2; length <= samplesPerSecond * MostSeconds; length++)
        {
            if (Fits(length / samplesPerSecond, mainsHertz)) return new MainsAverage(length, samplesPerSecond);
        }

        return null;
    }

    /// <summary>The newest reading's filtered value.</summary>
    /// <param name="newestLast">At least <see cref="Length"/> readings; the last ones count.</param>
    /// <returns>Untouched when a reading is missing, without value or late, as the periods would no longer be whole.</returns>
    public Filtered At(ReadOnlySpan<Reading> newestLast)
    {
        if (newestLast.Length == 0) return Filtered.Untouched(Reading.Bad(default, QualityReason.NoReading));
        Reading newest = newestLast[^1];
        if (newestLast.Length < Length) return Filtered.Untouched(newest);

        ReadOnlySpan<Reading> window = newestLast[^Length..];
        double expectedSeconds = (Length - 1) / _samplesPerSecond;
        bool isEven = Math.Abs(newest.Time.SecondsSince(window[0].Time) - expectedSeconds) < 0.5 / _samplesPerSecond;
        double sum = 0;
        foreach (Reading reading in window)
        {
            if (!reading.Quality.HasValue) return Filtered.Untouched(newest);
            sum += reading.Value;
        }

        return isEven ? new Filtered(newest, sum / Length, FilterKind.MainsAverage) : Filtered.Untouched(newest);
    }

    /// <summary>What a mean over a window leaves of a sine, as an attenuation in dB; infinite where it leaves nothing.</summary>
    public static double RejectionDecibels(double windowSeconds, double hertz)
    {
        double halfTurns = Math.PI * windowSeconds * hertz;
        return -20 * Math.Log10(Math.Abs(Math.Sin(halfTurns) / halfTurns));
    }

    private static bool Fits(double windowSeconds, ReadOnlySpan<double> mainsHertz)
    {
        foreach (double hertz in mainsHertz)
        {
            double periods = windowSeconds * hertz;
            if (periods < 1 - Tolerance || Math.Abs(periods - Math.Round(periods)) > Tolerance) return false;
        }

        return true;
    }
}
