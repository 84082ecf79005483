using ThermoWatch.Benchmarks;
using ThermoWatch.Benchmarks.Feeds;
using ThermoWatch.Benchmarks.Live;

if (args is [BareHost.Verb, var port])
{
    BareHost.Run(int.Parse(port, System.Globalization.CultureInfo.InvariantCulture));
    return 0;
}

Dictionary<string, Action> topics = new()
{
    ["conversion"] = ConversionBenchmarks.Run,
    ["modbus"] = ModbusBenchmarks.Run,
    ["engine"] = EngineBenchmarks.Run,
    ["store"] = StoreBenchmarks.Run,
    ["store-size"] = StoreBenchmarks.RunSize,
    ["store-ingest"] = StoreBenchmarks.RunIngest,
    ["store-opening"] = StoreBenchmarks.RunOpening,
    ["store-memory"] = StoreBenchmarks.RunMemory,
    ["live"] = LiveBenchmarks.Run,
    ["live-latency"] = LiveBenchmarks.RunLatency,
    ["live-viewers"] = ViewerBenchmarks.Run,
    ["live-stalled"] = ViewerBenchmarks.RunStalled,
    ["feeds"] = FeedBenchmarks.Run,
    ["feeds-databases"] = FeedBenchmarks.RunDatabases,
    ["feeds-brokers"] = FeedBenchmarks.RunBrokers,
    ["feeds-live"] = FeedBenchmarks.RunLive,
    ["feeds-backlog"] = FeedBenchmarks.RunBacklog,
    ["dashboard"] = DashboardBenchmarks.Run,
};

if (args.Length == 0 || !topics.TryGetValue(args[0], out Action? run))
{
    Console.WriteLine("Topics: " + string.Join(' ', topics.Keys));
    return args.Length == 0 ? 0 : 2;
}

run();
return 0;
