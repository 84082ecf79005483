using ThermoWatch.Benchmarks;

Dictionary<string, Action> topics = new()
{
    ["engine"] = EngineBenchmarks.Run,
};

if (args.Length == 0 || !topics.TryGetValue(args[0], out Action? run))
{
    Console.WriteLine("Topics: " + string.Join(' ', topics.Keys));
    return args.Length == 0 ? 0 : 2;
}

run();
return 0;
