namespace ThermoWatch.Service.Hosting;

/// <summary>
/// The pages' host in the making: it is put together while the configuration is read and the record opened, as each takes
/// a good part of the time to ready and neither needs the other. It is told what it serves before it listens.
/// </summary>
internal sealed class PendingWeb : IAsyncDisposable
{
    private readonly Task<WebApplication> _building;
    private volatile WebParts? _parts;

    private PendingWeb() => _building = Task.Run(() => Web.Build(() => _parts ?? throw new InvalidOperationException("The pages serve nothing yet."), Logs));

    /// <summary>Where everything in the program logs to.</summary>
    public ILoggerFactory Logs { get; } = LoggerFactory.Create(b => b.AddSimpleConsole(o => o.SingleLine = true).AddFilter("Microsoft", LogLevel.Warning));

    /// <summary>Begins to build.</summary>
    public static PendingWeb Begin() => new();

    /// <summary>Says what is served.</summary>
    /// <returns>The host, ready to be started; it lives as long as this.</returns>
    public Task<WebApplication> CompleteAsync(WebParts parts)
    {
        _parts = parts;
        return _building;
    }

    /// <summary>Lets the host go, started or not.</summary>
    public async ValueTask DisposeAsync()
    {
        await (await _building).DisposeAsync();
        Logs.Dispose();
    }
}
