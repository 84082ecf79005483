using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;
using DuckDB.NET.Data;

namespace ThermoWatch.Benchmarks;

/// <summary>The same data in general-purpose stores, with their default configuration.</summary>
internal static class StorePeers
{
    internal sealed record Figures(double BytesPerReading, double ReadingsPerSecond, double ReadRunMs, double OverviewMs);

    /// <summary>Fills DuckDB's appender with all runs, one commit a run, and writes everything down.</summary>
    public static void FillDuckDb(StoreData data, string path)
    {
        using var connection = new DuckDBConnection($"Data Source={path}");
        connection.Open();
        Fill(data, connection);
    }

    /// <summary>DuckDB: one wide table of integers, filled by its appender, one commit a run.</summary>
    public static Figures DuckDb(StoreData data, string folder, int[] picks, int overviewBuckets)
    {
        string path = Path.Combine(folder, "peer.duckdb");
        using var connection = new DuckDBConnection($"Data Source={path}");
        connection.Open();
        long begun = Stopwatch.GetTimestamp();
        Fill(data, connection);
        double seconds = Stopwatch.GetElapsedTime(begun).TotalSeconds;
        double read = StoreBenchmarks.Median(picks.Select(run => StoreBenchmarks.Milliseconds(() =>
        {
            long first = data.Times[run * StoreData.ScansPerRun], last = data.Times[(run + 1) * StoreData.ScansPerRun - 1];
            int rows = Rows(connection, $"SELECT * FROM s WHERE t BETWEEN {first} AND {last}", StoreData.Channels);
            StoreBenchmarks.Expect(rows == StoreData.ScansPerRun, "rows of a run in DuckDB");
        })));
        long width = (data.Times[^1] - data.Times[0]) / overviewBuckets + 1;
        double overview = StoreBenchmarks.Median(Enumerable.Range(0, 7).Select(_ => StoreBenchmarks.Milliseconds(() =>
            Rows(connection, $"SELECT (t - {data.Times[0]}) // {width} AS k, min(c3), max(c3) FROM s GROUP BY k", 2))));
        connection.Close();
        return new Figures((double)new FileInfo(path).Length / data.Readings, data.Readings / seconds, read, overview);
    }

    private static void Fill(StoreData data, DuckDBConnection connection)
    {
        Execute(connection, $"CREATE TABLE s (t BIGINT, {string.Join(", ", Enumerable.Range(0, StoreData.Channels).Select(c => $"c{c} INTEGER"))})");
        for (int run = 0; run < data.Runs; run++)
        {
            using DuckDBAppender appender = connection.CreateAppender("s");
            for (int scan = run * StoreData.ScansPerRun; scan < (run + 1) * StoreData.ScansPerRun; scan++)
            {
                IDuckDBAppenderRow row = appender.CreateRow().AppendValue(data.Times[scan]);
                for (int channel = 0; channel < StoreData.Channels; channel++)
                {
                    row.AppendValue(data.Counts[channel][scan]);
                }

                row.EndRow();
            }
        }

        Execute(connection, "CHECKPOINT");
    }

    /// <summary>VictoriaMetrics by line protocol, 1,000 scans a request, values in their unit as a feed sends them; null if it is not installed.</summary>
    public static Figures? VictoriaMetrics(StoreData data, string folder)
    {
        const string Program = "/usr/bin/victoria-metrics";
        if (!File.Exists(Program))
        {
            return null;
        }

        int port;
        using (var probe = new TcpListener(IPAddress.Loopback, 0))
        {
            probe.Start();
            port = ((IPEndPoint)probe.LocalEndpoint).Port;
        }

        using Process server = Process.Start(new ProcessStartInfo(Program, [$"-storageDataPath={folder}/vm", $"-httpListenAddr=127.0.0.1:{port}", "-retentionPeriod=100y"])
        {
            RedirectStandardError = true,
            RedirectStandardOutput = true,
        })!;
        try
        {
            server.ErrorDataReceived += (_, _) => { };
            server.OutputDataReceived += (_, _) => { };
            server.BeginErrorReadLine();
            server.BeginOutputReadLine();
            using var client = new HttpClient { BaseAddress = new Uri($"http://127.0.0.1:{port}") };
            WaitUntilReady(client);
            long begun = Stopwatch.GetTimestamp();
            var body = new StringBuilder();
            for (int scan = 0; scan < data.Times.Length; scan++)
            {
                body.Append("tc ");
                for (int channel = 0; channel < StoreData.Channels; channel++)
                {
                    body.Append(channel == 0 ? "c" : ",c").Append(channel).Append('=').Append(data.Counts[channel][scan] / 100.0);
                }

                body.Append(' ').Append((data.Times[scan] - DateTimeOffset.UnixEpoch.UtcTicks) * 100).Append('\n');
                if (scan % 1000 == 999)
                {
                    using var content = new StringContent(body.ToString());
                    client.PostAsync(new Uri("/write", UriKind.Relative), content).GetAwaiter().GetResult().EnsureSuccessStatusCode();
                    body.Clear();
                }
            }

            _ = client.GetStringAsync(new Uri("/internal/force_flush", UriKind.Relative)).GetAwaiter().GetResult();
            double seconds = Stopwatch.GetElapsedTime(begun).TotalSeconds;
            Task.Delay(TimeSpan.FromSeconds(8)).GetAwaiter().GetResult(); // it writes its parts to disk after five
            _ = client.GetStringAsync(new Uri("/internal/force_merge", UriKind.Relative)).GetAwaiter().GetResult();
            using (Process stop = Process.Start("kill", ["-TERM", server.Id.ToString(CultureInfo.InvariantCulture)])) // it writes its parts on the way out
            {
                stop.WaitForExit();
            }

            server.WaitForExit();
            long size = new DirectoryInfo($"{folder}/vm").EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);
            return new Figures((double)size / data.Readings, data.Readings / seconds, double.NaN, double.NaN);
        }
        finally
        {
            if (!server.HasExited)
            {
                server.Kill();
                server.WaitForExit();
            }
        }
    }

    private static void WaitUntilReady(HttpClient client)
    {
        for (long begun = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(begun).TotalSeconds < 20;)
        {
            try
            {
                _ = client.GetStringAsync(new Uri("/health", UriKind.Relative)).GetAwaiter().GetResult();
                return;
            }
            catch (HttpRequestException)
            {
                // Not listening yet.
            }
        }

        throw new TimeoutException("VictoriaMetrics did not start.");
    }

    private static void Execute(DuckDBConnection connection, string sql)
    {
        using DuckDBCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    private static int Rows(DuckDBConnection connection, string sql, int columns)
    {
        using DuckDBCommand command = connection.CreateCommand();
        command.CommandText = sql;
        using DuckDBDataReader reader = command.ExecuteReader();
        long sum = 0;
        int rows = 0;
        for (; reader.Read(); rows++)
        {
            for (int column = 0; column < columns; column++)
            {
                sum += Convert.ToInt64(reader.GetValue(column + 1), CultureInfo.InvariantCulture);
            }
        }

        return sum == long.MinValue ? 0 : rows;
    }
}
