namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>One channel's filter at work: readings go in, filtered values come out, some of them late.</summary>
public sealed class ChannelFilter
{
    private readonly FilterDefinition _definition;
    private readonly MainsAverage? _mains;
    private readonly SavitzkyGolay? _fit;
    private readonly Reading[] _window;
    private int _count;

    /// <param name="definition">What is to be done.</param>
    /// <param name="periodSeconds">Nominal interval of the readings, s.</param>
    /// <exception cref="ArgumentException">It cannot work on such readings; the text says why and what to do.</exception>
    public ChannelFilter(FilterDefinition definition, double periodSeconds)
    {
        ArgumentNullException.ThrowIfNull(definition);
        if (definition.FaultAt(periodSeconds) is { } fault) throw new ArgumentException(fault, nameof(definition));
        _definition = definition;
        _mains = definition.Kind == FilterKind.MainsAverage ? MainsAverage.For(1 / periodSeconds, definition.MainsHertz.AsSpan()) : null;
        _fit = definition.Kind == FilterKind.SavitzkyGolay ? new SavitzkyGolay(definition.Window, definition.Order, 0, definition.Window / 2) : null;
        _window = new Reading[_mains?.Length ?? _fit?.Weights.Count ?? 3];
    }

    /// <summary>Takes the newest reading.</summary>
    /// <returns>The newest filtered value; null until there have been enough readings for one. Its reading may be an older one.</returns>
    public Filtered? Offer(Reading reading)
    {
        if (_count == _window.Length) Array.Copy(_window, 1, _window, 0, --_count);
        _window[_count++] = reading;
        if (_count < _window.Length) return null;
        if (_mains is not null) return _mains.At(_window);
        if (_fit is null) return MedianOfThree.Of(_window[0], _window[1], _window[2]);

        Reading middle = _window[_fit.Position];
        Converted value = _fit.At(_window);
        return value.Quality.HasValue ? new Filtered(middle, value.Value, _definition.Kind) : Filtered.Untouched(middle);
    }
}
