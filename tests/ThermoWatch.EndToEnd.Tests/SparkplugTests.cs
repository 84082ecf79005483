using System.Diagnostics;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text.Json.Nodes;
using MQTTnet;
using MQTTnet.Protocol;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The delivered program as an edge node on a real broker (Eclipse Mosquitto), heard by a plain client.</summary>
public sealed class SparkplugTests
{
    private const string Instrument = "cell-1-amplifier", Command = "spBv1.0/plant/NCMD/hall2";

    /// <summary>A payload with Node Control/Rebirth, Boolean, true; written by hand from the field numbers.</summary>
    private static readonly byte[] Rebirth = [0x08, 1, 0x12, 26, 0x0A, 20, .. "Node Control/Rebirth"u8, 0x20, 11, 0x70, 1];

    [Fact]
    public async Task A_machine_that_falls_silent_dies_for_the_host_lives_again_with_its_next_answer_and_a_paused_feed_is_born_when_asked()
    {
        int port = FreePorts.Next();
        DirectoryInfo folder = Directory.CreateTempSubdirectory("mosquitto");
        using Process broker = await StartBrokerAsync(folder, port);
        try
        {
            Lock gate = new();
            List<string> heard = [];
            using IMqttClient client = new MqttClientFactory().CreateMqttClient();
            client.ApplicationMessageReceivedAsync += e =>
            {
                lock (gate)
                {
                    string[] levels = e.ApplicationMessage.Topic.Split('/');
                    heard.Add(levels[2] + (levels.Length > 4 ? " " + levels[4] : ""));
                }

                return Task.CompletedTask;
            };
            await client.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", port).Build());
            await client.SubscribeAsync("spBv1.0/#", MqttQualityOfServiceLevel.AtLeastOnce);

            await using Node node = new();
            await node.StartMachineAsync();
            await node.StartServiceAsync(json => json["feeds"] = new JsonArray(new JsonObject
            {
                ["id"] = "host",
                ["kind"] = "sparkplug",
                ["host"] = "127.0.0.1",
                ["port"] = port,
                ["group"] = "plant",
                ["node"] = "hall2",
            }));
            await UntilAsync(all => all.Contains("DDATA " + Instrument));
            Assert.Equal(["NBIRTH", "DBIRTH cell-1", "DBIRTH " + Instrument], Heard().Take(3));

            await node.Machine!.InterruptAsync();
            await UntilAsync(all => all.Contains("DDEATH " + Instrument));
            await using ProgramRun again = ProgramRun.Start(["simulate", "--port", node.MachinePort.ToString()]);
            await UntilAsync(all => all[^1] == "DDATA " + Instrument);
            Assert.Equal(["DDEATH", "DBIRTH", "DDATA"], Heard().Where(m => m.EndsWith(Instrument, StringComparison.Ordinal)).Select(m => m.Split(' ')[0]).SkipWhile(m => m != "DDEATH").Take(3));
            Assert.Equal(1, Heard().Count(m => m == "NBIRTH")); // one and the same session

            using HttpClient http = new();
            using HttpResponseMessage paused = await http.PostAsJsonAsync($"http://localhost:{node.Port}/api/v1/feeds/host/pause", new { by = "A. Tester" });
            Assert.True(paused.IsSuccessStatusCode, await paused.Content.ReadAsStringAsync());
            await client.PublishAsync(new MqttApplicationMessage { Topic = Command, PayloadSegment = Rebirth });
            await UntilAsync(all => all.Count(m => m == "NBIRTH") == 2 && all[^1] == "DBIRTH " + Instrument);
            await Task.Delay(1000); // ten polls of the machine
            Assert.Equal("DBIRTH " + Instrument, Heard()[^1]);

            await node.Service!.InterruptAsync();
            await UntilAsync(all => all[^1] == "NDEATH");

            string[] Heard()
            {
                lock (gate)
                {
                    return [.. heard];
                }
            }

            async Task UntilAsync(Func<string[], bool> holds)
            {
                var waited = Stopwatch.StartNew();
                while (Heard() is { Length: 0 } || !holds(Heard()))
                {
                    Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), "It did not come within 30 s: " + string.Join(", ", Heard().TakeLast(8)) + "\n" + node.Service?.Output);
                    await Task.Delay(20);
                }
            }
        }
        finally
        {
            broker.Kill();
            await broker.WaitForExitAsync();
            folder.Delete(recursive: true);
        }
    }

    private static async Task<Process> StartBrokerAsync(DirectoryInfo folder, int port)
    {
        string configuration = Path.Combine(folder.FullName, "mosquitto.conf");
        await File.WriteAllTextAsync(configuration, $"user root\nlistener {port} 127.0.0.1\nallow_anonymous true\n");
        Process broker = Process.Start(new ProcessStartInfo(Peers.Program("mosquitto", "mosquitto"), ["-c", configuration]))!;
        for (var waited = Stopwatch.StartNew(); ;)
        {
            try
            {
                using var probe = new TcpClient();
                await probe.ConnectAsync("127.0.0.1", port);
                return broker;
            }
            catch (SocketException) when (waited.Elapsed < TimeSpan.FromSeconds(10))
            {
                await Task.Delay(50);
            }
        }
    }
}
