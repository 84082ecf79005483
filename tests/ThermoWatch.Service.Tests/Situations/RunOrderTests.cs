using System.Net;
using System.Net.Http.Json;
using System.Text.Json;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Runs that people begin, end, name and act in, and alarms that they answer, over HTTP.</summary>
public sealed class RunOrderTests
{
    private const string Run = "carriers/A/run/";

    [Fact]
    public async Task A_run_that_a_person_begins_and_ends_has_the_kind_that_was_said_and_says_that_somebody_acted()
    {
        // While the machine idles, nothing but people says that there is a run.
        await using SocketFloor floor = await SocketFloor.OpenAsync(SocketFloor.Only("normal", 1));
        await PassAsync(floor, -8);
        Assert.Equal((HttpStatusCode.Conflict, "Carrier A has no run that goes on."), await RefusedAsync(floor, Run + "intervention", new { by = "Ines", what = "lamp changed" }));
        await floor.PostAsync(Run + "begin", new { by = "Ines", kind = "verification", recipe = 7 });
        await PassAsync(floor, -6);
        JsonElement open = await floor.RecordedAsync(1, _ => true);
        Assert.Equal(("verification", "command", 7), (open.GetProperty("kind").GetString(), open.GetProperty("startReason").GetString(), open.GetProperty("recipe").GetInt32()));
        (HttpStatusCode twice, string why) = await RefusedAsync(floor, Run + "begin", new { by = "Ines" });
        Assert.Equal((HttpStatusCode.Conflict, "Run 1 of carrier A goes on; end it first."), (twice, why));

        Assert.Equal(1, (await floor.PostAsync(Run + "kind", new { by = "Ines", kind = "maintenance" })).GetProperty("run").GetInt32());
        await floor.PostAsync(Run + "intervention", new { by = "Jon", what = "valve turned by hand" });
        await floor.PostAsync(Run + "end", new { by = "Ines" });
        await PassAsync(floor, -4);
        JsonElement ended = await floor.RecordedAsync(1, r => r.GetProperty("end").ValueKind == JsonValueKind.String);
        Assert.Equal(("maintenance", "command"), (ended.GetProperty("kind").GetString(), ended.GetProperty("endReason").GetString()));
        Assert.Contains("intervened", ended.GetProperty("notes").EnumerateArray().Select(n => n.GetString()));
    }

    [Theory]
    [InlineData("carriers/A/run/begin", """{"kind":"profile"}""", 400, "by: say who")]
    [InlineData("carriers/A/run/begin", """{"by":"Ines","kind":"test"}""", 400, "give one of profile, verification, production, empty, maintenance")]
    [InlineData("carriers/A/run/kind", """{"by":"Ines"}""", 400, "is no kind of run")]
    [InlineData("carriers/A/run/intervention", """{"by":"Ines"}""", 400, "what: say what was done")]
    [InlineData("carriers/Z/run/end", """{"by":"Ines"}""", 404, "Carriers: A")]
    [InlineData("alarms/acknowledge", """{"alarm":"tooHot/tc99","by":"Ines"}""", 404, "has no alarm tooHot/tc99")]
    [InlineData("alarms/acknowledge", """{"alarm":"tooHot/tc1"}""", 400, "name of the person")]
    [InlineData("alarms/acknowledge", """{"by":"Ines"}""", 400, "alarm: give its id. /api/v1/cells/1/alarms lists them.")]
    [InlineData("alarms/acknowledge", """{"alarm":"tooHot/tc1","by":"Ines"}""", 409, "tooHot/tc1 is normal, and acknowledge changes nothing there. What it takes now: shelve, outOfService.")]
    [InlineData("alarms/unshelve", """{"alarm":"tooHot/tc1","by":"Ines"}""", 409, "is normal, and unshelve changes nothing")]
    [InlineData("alarms/shelve", """{"alarm":"tooHot/tc1","by":"Ines","comment":"repair","minutes":-5}""", 400, "minutes: -5 does not do; give more than 0 and up to 720")]
    [InlineData("alarms/shelve", """{"alarm":"tooHot/tc1","by":"Ines","minutes":5}""", 400, "say why")]
    [InlineData("alarms/shelve", """{"alarm":"tooHot/tc1","by":"Ines","comment":"repair","minutes":100000}""", 400, "minutes: 100000 does not do; give more than 0 and up to 720")]
    public async Task What_cannot_be_ordered_says_what_would_be_right(string address, string body, int status, string detail)
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(SocketFloor.Only("normal", 1));
        (HttpStatusCode answered, string said) = await RefusedAsync(floor, address, JsonDocument.Parse(body).RootElement);
        Assert.Equal(status, (int)answered);
        Assert.Contains(detail, said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_alarm_is_answered_over_http_as_over_the_hub()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(SocketFloor.Only("normal", 1));
        await PassAsync(floor, -8);
        const string Alarm = "tooHot/tc1";
        await floor.PostAsync("alarms/outOfService", new { alarm = Alarm, by = "Ines", comment = "oven tests" });
        await PassAsync(floor, -6);
        JsonElement hidden = (await floor.GetAsync("state")).GetProperty("hiddenAlarms").EnumerateArray().Single();
        Assert.Equal((Alarm, "outOfService", "Ines", "oven tests"), (
            hidden.GetProperty("id").GetString(), hidden.GetProperty("state").GetString(), hidden.GetProperty("by").GetString(), hidden.GetProperty("comment").GetString()));
        (HttpStatusCode twice, string why) = await RefusedAsync(floor, "alarms/outOfService", new { alarm = Alarm, by = "Jon", comment = "me too" });
        Assert.Equal((HttpStatusCode.Conflict, $"{Alarm} is outOfService, and outOfService changes nothing there. What it takes now: returnToService."), (twice, why));
        JsonElement list = await floor.GetAsync("alarms");
        Assert.Equal(Alarm, list.GetProperty("hidden").EnumerateArray().Single().GetProperty("id").GetString());
        string?[] normal = [.. list.GetProperty("normal").EnumerateArray().Select(id => id.GetString())];
        Assert.DoesNotContain(Alarm, normal);
        Assert.Contains("deviceSilent/amplifier", normal);
        await floor.PostAsync("alarms/returnToService", new { alarm = Alarm, by = "Jon", comment = "done" });
        await floor.PostAsync("alarms/shelve", new { alarm = Alarm, by = "Jon", comment = "repair", minutes = 5, once = false });
        await PassAsync(floor, -4);
        Assert.Equal("shelved", (await floor.GetAsync("state")).GetProperty("hiddenAlarms").EnumerateArray().Single().GetProperty("state").GetString());
        await floor.PostAsync("alarms/unshelve", new { alarm = Alarm, by = "Jon" });
        await PassAsync(floor, -3);
        Assert.Empty((await floor.GetAsync("state")).GetProperty("hiddenAlarms").EnumerateArray());
        string?[] steps = [.. (await floor.GetAsync("alarms/history")).GetProperty("steps").EnumerateArray().Select(s => $"{s.GetProperty("signal").GetString()} {s.GetProperty("by").GetString()}")];
        Assert.Contains("shelve Jon", steps);
        Assert.DoesNotContain("outOfService Jon", steps);
    }

    [Fact]
    public async Task What_is_too_long_to_be_said_is_refused()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(SocketFloor.Only("normal", 1));
        (HttpStatusCode status, string detail) = await RefusedAsync(floor, "alarms/outOfService", new { alarm = "tooHot/tc1", by = "Ines", comment = new string('x', 5_000_000) });
        Assert.Equal((HttpStatusCode.RequestEntityTooLarge, "body: it is too long. What people say goes into the record for good: keep it under 4 MiB."), (status, detail));
    }

    private static Task PassAsync(SocketFloor floor, double runSeconds) => floor.UntilAsync(t => t.RunTime.TotalSeconds >= runSeconds);

    private static async Task<(HttpStatusCode Status, string Detail)> RefusedAsync(SocketFloor floor, string address, object body)
    {
        using HttpResponseMessage answer = await floor.Http.PostAsJsonAsync("/api/v1/cells/1/" + address, body);
        using JsonDocument problem = JsonDocument.Parse(await answer.Content.ReadAsStringAsync());
        return (answer.StatusCode, problem.RootElement.GetProperty("detail").GetString()!);
    }
}
