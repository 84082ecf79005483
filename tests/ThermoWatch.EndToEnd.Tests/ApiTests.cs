using System.Net;
using System.Text;
using System.Text.Json;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The HTTP API of the delivered program, asked by a client that knows only its addresses.</summary>
public sealed class ApiTests : IClassFixture<ApiTests.Demo>
{
    private readonly Demo _demo;

    public ApiTests(Demo demo) => _demo = demo;

    [Fact]
    public async Task Runs_are_listed_newest_first_and_page_by_page_to_the_end()
    {
        List<long> numbers = [];
        string address = "/api/v1/cells/1/runs?limit=10";
        string? next = address;
        while (next is not null)
        {
            using JsonDocument page = await _demo.GetAsync(next);
            numbers.AddRange(page.RootElement.GetProperty("runs").EnumerateArray().Select(r => r.GetProperty("number").GetInt64()));
            JsonElement before = page.RootElement.GetProperty("next");
            next = before.ValueKind == JsonValueKind.Null ? null : $"{address}&before={before.GetInt64()}";
        }

        Assert.Equal(Enumerable.Range(1, 25).Reverse().Select(n => (long)n), numbers);
        using JsonDocument newest = await _demo.GetAsync("/api/v1/cells/1/runs?limit=1");
        JsonElement open = newest.RootElement.GetProperty("runs")[0];
        Assert.Equal(JsonValueKind.Null, open.GetProperty("end").ValueKind);
        Assert.Equal("Traction board", open.GetProperty("spec").GetProperty("name").GetString()); // though it is judged only at its end
    }

    [Fact]
    public async Task A_list_holds_only_what_was_asked_for()
    {
        using JsonDocument passed = await _demo.GetAsync("/api/v1/cells/1/runs?verdict=pass&limit=500");
        using JsonDocument failed = await _demo.GetAsync("/api/v1/cells/1/runs?verdict=fail&limit=500");
        using JsonDocument ended = await _demo.GetAsync("/api/v1/cells/1/runs?limit=500&to=2001-01-01T00:00:00Z");
        string?[] verdicts = [.. passed.RootElement.GetProperty("runs").EnumerateArray().Select(r => r.GetProperty("verdict").GetString())];
        Assert.NotEmpty(verdicts);
        Assert.All(verdicts, v => Assert.Equal("pass", v));
        Assert.All(failed.RootElement.GetProperty("runs").EnumerateArray(), r => Assert.Equal("fail", r.GetProperty("verdict").GetString()));
        Assert.Empty(ended.RootElement.GetProperty("runs").EnumerateArray());
    }

    // IEC 60584-1 and -3, class 1: 1.5 K each, below 375 °C; cold junction and instrument 0.5 K (half widths), resolution 0.1 K.
    [Fact]
    public async Task The_uncertainty_of_a_reading_is_open_line_by_line()
    {
        using JsonDocument budget = await _demo.GetAsync("/api/v1/cells/1/channels/tc1/budget");
        JsonElement[] lines = [.. budget.RootElement.GetProperty("lines").EnumerateArray()];
        Assert.Equal(["thermocouple", "extension cable", "cold junction", "instrument", "resolution"], lines.Select(l => l.GetProperty("name").GetString()));
        Assert.Equal(1.5 / Math.Sqrt(3), lines[0].GetProperty("standard").GetDouble(), 1e-9);
        double sum = lines.Sum(l => Math.Pow(l.GetProperty("standard").GetDouble(), 2));
        Assert.Equal(2 * Math.Sqrt(sum), budget.RootElement.GetProperty("U").GetDouble(), 1e-9);
        Assert.Equal("attachment not included", budget.RootElement.GetProperty("notIncluded")[0].GetString());
    }

    [Fact]
    public async Task The_curves_of_a_run_hold_the_peak_that_its_figures_name()
    {
        using JsonDocument detail = await _demo.GetAsync("/api/v1/cells/1/runs/24");
        using JsonDocument curves = await _demo.GetAsync("/api/v1/cells/1/runs/24/curves");
        JsonElement peak = detail.RootElement.GetProperty("figures").EnumerateArray()
            .First(f => f.GetProperty("figure").GetString() == "peakTemperature" && f.GetProperty("channel").ValueKind == JsonValueKind.String);
        JsonElement curve = curves.RootElement.GetProperty("curves").EnumerateArray().Single(c => c.GetProperty("channel").GetString() == peak.GetProperty("channel").GetString());
        double[] times = [.. curves.RootElement.GetProperty("time_s").EnumerateArray().Select(t => t.GetDouble())];
        JsonElement[] values = [.. curve.GetProperty("values").EnumerateArray()];
        Assert.Equal(times.Length, values.Length);
        Assert.Equal(times.Length, curve.GetProperty("quality").GetString()!.Length);
        Assert.InRange(times[0], -6, 0);
        double duration = (Date(detail, "end") - Date(detail, "start")).TotalSeconds;
        Assert.InRange(times[^1], duration, duration + 20);
        // A float32 at 250 degC is good to 0.00002 K.
        Assert.Equal(peak.GetProperty("value").GetDouble(), values.Where(v => v.ValueKind == JsonValueKind.Number).Max(v => v.GetDouble()), 1e-4);
        Assert.Equal(23, detail.RootElement.GetProperty("previous").GetInt64());
        Assert.Equal(25, detail.RootElement.GetProperty("next").GetInt64());
    }

    [Fact]
    public async Task A_listed_run_names_each_limit_once_at_the_channel_with_the_least_room()
    {
        using JsonDocument list = await _demo.GetAsync("/api/v1/cells/1/runs?verdict=pass&limit=1");
        JsonElement run = list.RootElement.GetProperty("runs")[0];
        using JsonDocument detail = await _demo.GetAsync($"/api/v1/cells/1/runs/{run.GetProperty("number").GetInt64()}");
        var least = detail.RootElement.GetProperty("figures").EnumerateArray()
            .Where(f => f.GetProperty("verdict").ValueKind == JsonValueKind.String)
            .GroupBy(f => f.GetProperty("figure").GetString()!)
            .ToDictionary(same => same.Key, same => same.Min(f => f.GetProperty("margin").GetDouble()));
        JsonElement[] tightest = [.. run.GetProperty("tightest").EnumerateArray()];
        Assert.Equal(least.Keys.Order(), tightest.Select(f => f.GetProperty("figure").GetString()!).Order());
        Assert.All(tightest, f => Assert.Equal(least[f.GetProperty("figure").GetString()!], f.GetProperty("margin").GetDouble()));
        Assert.NotEmpty(run.GetProperty("phases").EnumerateArray());
    }

    [Fact]
    public async Task The_shape_of_a_run_has_the_extremes_of_its_curves()
    {
        using JsonDocument shape = await _demo.GetAsync("/api/v1/cells/1/runs/24/shape?columns=50");
        using JsonDocument curves = await _demo.GetAsync("/api/v1/cells/1/runs/24/curves?before=0&after=0");
        double[] high = Numbers(shape.RootElement.GetProperty("high"));
        double[] low = Numbers(shape.RootElement.GetProperty("low"));
        Assert.Equal(50, high.Length);
        Assert.All(high.Zip(low), pair => Assert.True(pair.First >= pair.Second));
        double hottest = curves.RootElement.GetProperty("curves").EnumerateArray()
            .Where(c => c.GetProperty("channel").GetString()!.StartsWith("tc", StringComparison.Ordinal)).Max(c => Numbers(c.GetProperty("values")).Max());
        Assert.Equal(hottest, high.Max(), 0.06);
        double lowest = Numbers(curves.RootElement.GetProperty("curves").EnumerateArray().Single(c => c.GetProperty("channel").GetString() == "pressure").GetProperty("values")).Min();
        Assert.Equal(lowest, Numbers(shape.RootElement.GetProperty("pressure")).Min(), 0.001);
        using JsonDocument detail = await _demo.GetAsync("/api/v1/cells/1/runs/24");
        Assert.Equal((Date(detail, "end") - Date(detail, "start")).TotalSeconds, shape.RootElement.GetProperty("length_s").GetDouble(), 1e-6);
    }

    [Fact]
    public async Task A_run_that_goes_on_has_the_figures_so_far()
    {
        using JsonDocument detail = await _demo.GetAsync("/api/v1/cells/1/runs/25");
        Assert.Equal(JsonValueKind.Null, detail.RootElement.GetProperty("run").GetProperty("end").ValueKind);
        Assert.NotEmpty(detail.RootElement.GetProperty("figures").EnumerateArray());
        Assert.NotEmpty(detail.RootElement.GetProperty("phases").EnumerateArray());
        using JsonDocument curves = await _demo.GetAsync("/api/v1/cells/1/runs/25/curves");
        Assert.True(curves.RootElement.GetProperty("time_s").GetArrayLength() > 50);
    }

    [Fact]
    public async Task What_a_person_says_of_a_run_is_kept_with_every_change_and_finds_it()
    {
        await _demo.SendAsync(HttpMethod.Patch, "/api/v1/cells/1/runs/3/record", """{"by":"Ines","product":"Inverter stage","serials":["A1","A2"],"load":2}""", 200);
        using JsonDocument record = await _demo.SendAsync(
            HttpMethod.Patch, "/api/v1/cells/1/runs/3/record", """{"by":"Jon","reason":"misread","serials":["A1"]}""", 200);
        Assert.Equal("Inverter stage", record.RootElement.GetProperty("product").GetString());
        JsonElement changes = record.RootElement.GetProperty("changes");
        Assert.Equal(["recipe register", "Ines", "Jon"], changes.EnumerateArray().Select(c => c.GetProperty("by").GetString()));
        JsonElement renamed = changes[1].GetProperty("changes").EnumerateArray().Single(c => c.GetProperty("field").GetString() == "product");
        Assert.Equal(("Traction board TB-6", "Inverter stage"), (renamed.GetProperty("from").GetString(), renamed.GetProperty("to").GetString()));
        JsonElement change = changes[2];
        Assert.Equal("A1; A2", change.GetProperty("changes")[0].GetProperty("from").GetString());
        using JsonDocument found = await _demo.GetAsync("/api/v1/cells/1/runs?serial=A1&product=inverter");
        Assert.Equal(3, Assert.Single(found.RootElement.GetProperty("runs").EnumerateArray()).GetProperty("number").GetInt64());
        using JsonDocument passes = await _demo.GetAsync("/api/v1/boards/A1/passes");
        Assert.Equal(3, Assert.Single(passes.RootElement.GetProperty("passes").EnumerateArray()).GetProperty("run").GetInt64());
        using JsonDocument torn = await _demo.SendAsync(HttpMethod.Patch, "/api/v1/cells/1/runs/3/record", """{"by":"Ines","load":"four""", 400);
        Assert.Equal(400, torn.RootElement.GetProperty("status").GetInt32());
        using JsonDocument wrong = await _demo.SendAsync(HttpMethod.Patch, "/api/v1/cells/1/runs/3/record", """{"load":-4}""", 400);
        Assert.Equal("by: say who changes the record. load: -4 boards; give 0 to 1000.", wrong.RootElement.GetProperty("detail").GetString());
    }

    [Fact]
    public async Task A_decision_stands_beside_the_verdict()
    {
        using JsonDocument before = await _demo.GetAsync("/api/v1/cells/1/runs/4");
        await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/4/decisions", """{"kind":"hold","by":"Ines","reason":"waits for X-ray"}""", 201);
        using JsonDocument open = await _demo.GetAsync("/api/v1/cells/1/runs?open=true&limit=500");
        Assert.Contains(open.RootElement.GetProperty("runs").EnumerateArray(), r => r.GetProperty("number").GetInt64() == 4);
        await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/4/decisions", """{"kind":"release","by":"Ines","reason":"X-ray is clear","reference":"XR-12"}""", 201);
        using JsonDocument after = await _demo.GetAsync("/api/v1/cells/1/runs/4");
        JsonElement run = after.RootElement.GetProperty("run");
        Assert.Equal("release", run.GetProperty("decision").GetProperty("kind").GetString());
        Assert.Equal(before.RootElement.GetProperty("run").GetProperty("verdict").GetString(), run.GetProperty("verdict").GetString());
        using JsonDocument closed = await _demo.GetAsync("/api/v1/cells/1/runs?open=true&limit=500");
        Assert.DoesNotContain(closed.RootElement.GetProperty("runs").EnumerateArray(), r => r.GetProperty("number").GetInt64() == 4);
        using JsonDocument all = await _demo.GetAsync("/api/v1/cells/1/runs/4/decisions");
        Assert.Equal(2, all.RootElement.GetProperty("decisions").GetArrayLength());
        using JsonDocument wrong = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/4/decisions", """{"kind":"ship","by":"Ines","reason":"late"}""", 400);
        Assert.Equal("\"ship\" is no decision; give one of release, hold, inspect, rework, scrap.", wrong.RootElement.GetProperty("detail").GetString());
    }

    [Fact]
    public async Task A_run_is_compared_with_those_that_a_person_has_released()
    {
        for (int number = 10; number < 16; number++)
        {
            await _demo.SendAsync(HttpMethod.Post, $"/api/v1/cells/1/runs/{number}/reference", """{"by":"Ines","reason":"first week"}""", 200);
        }

        using JsonDocument like = await _demo.GetAsync("/api/v1/cells/1/runs/20/comparison");
        Assert.Equal(6, like.RootElement.GetProperty("runs").GetInt32());
        Assert.Contains(like.RootElement.GetProperty("result").GetString(), (string?[])["consistent", "differs"]);
        Assert.Contains(like.RootElement.GetProperty("figures").EnumerateArray(), f => f.GetProperty("figure").GetString() == "pumpDownTime");
        await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/15/reference/withdraw", """{"by":"Jon","reason":"sensor"}""", 200);
        await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/14/reference/withdraw", """{"by":"Jon","reason":"sensor"}""", 200);
        using JsonDocument few = await _demo.GetAsync("/api/v1/cells/1/runs/20/comparison");
        Assert.Equal("notComparable", few.RootElement.GetProperty("result").GetString());
        using JsonDocument twice = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/13/reference", """{"by":"Jon","reason":"mine"}""", 409);
        Assert.Contains("by Ines. Withdraw it first", twice.RootElement.GetProperty("detail").GetString());
        using JsonDocument nameless = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/runs/16/reference", """{"reason":"nice"}""", 400);
        Assert.Contains("name of the person", nameless.RootElement.GetProperty("detail").GetString());
    }

    [Fact]
    public async Task Work_on_the_machine_is_entered_with_its_author()
    {
        using JsonDocument log = await _demo.SendAsync(
            HttpMethod.Post, "/api/v1/cells/1/service-log", """{"kind":"fluid","by":"Jon","remark":"topped up","amount_ml":350,"lot":"F-9","time":"2026-01-05T08:00:00Z"}""", 201);
        JsonElement entry = Assert.Single(log.RootElement.GetProperty("entries").EnumerateArray());
        Assert.Equal(350, entry.GetProperty("amount_ml").GetDouble());
        using JsonDocument wrong = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/service-log", """{"kind":"oil","by":"Jon","time":"2999-01-01T00:00:00Z","amount_ml":-1}""", 400);
        Assert.Equal(
            "amount: -1 ml; give a positive amount in millilitres, or leave it out. time: it lies in the future; enter work when it is done.",
            wrong.RootElement.GetProperty("detail").GetString());
    }

    [Fact]
    public async Task Runs_are_judged_once_more_beside_their_verdicts_and_the_job_says_how_far_it_is()
    {
        await _demo.SendAsync(HttpMethod.Patch, "/api/v1/cells/1/runs/7/record", """{"by":"Ines","serials":["SN-7"]}""", 200);
        using JsonDocument done = await _demo.RejudgedAsync("""{"by":"Ines","reason":"sensor 7 failed its calibration","readHigh":{"tc7":5}}""");
        Assert.Equal(24, done.RootElement.GetProperty("total").GetInt32());
        using JsonDocument result = await _demo.GetAsync($"/api/v1/cells/1/rejudgements/{done.RootElement.GetProperty("number").GetInt64()}");
        Assert.Equal("sensor 7 failed its calibration", result.RootElement.GetProperty("reason").GetString());
        JsonElement run = result.RootElement.GetProperty("runs").EnumerateArray().Single(r => r.GetProperty("run").GetInt64() == 7);
        Assert.Equal(("pass", "fail", "SN-7"), (run.GetProperty("before").GetString(), run.GetProperty("after").GetString(), run.GetProperty("serials")[0].GetString()));
        Assert.Equal("calibration tc7", run.GetProperty("changed")[0].GetProperty("field").GetString());
        using JsonDocument row = await _demo.GetAsync("/api/v1/cells/1/runs/7");
        Assert.Equal("pass", row.RootElement.GetProperty("run").GetProperty("verdict").GetString());
        using JsonDocument ofRun = await _demo.GetAsync("/api/v1/cells/1/runs/7/rejudgements");
        Assert.NotEmpty(ofRun.RootElement.GetProperty("rejudgements").EnumerateArray());
        using JsonDocument wrong = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/rejudgements", """{"reason":"x","readHigh":{"tc99":1},"spec":{"name":"Traction board","version":9}}""", 400);
        string said = wrong.RootElement.GetProperty("detail").GetString()!;
        Assert.Contains("Say who asks", said);
        Assert.Contains("Known: Gate driver board 1, Traction board 3", said);
        Assert.Contains("tc99: is no channel of this cell", said);
    }

    [Fact]
    public async Task The_quality_of_the_alarms_is_measured()
    {
        using JsonDocument quality = await _demo.GetAsync("/api/v1/alarms/quality?cell=1");
        using JsonDocument history = await _demo.GetAsync("/api/v1/cells/1/alarms/history?limit=1000");
        int told = history.RootElement.GetProperty("steps").EnumerateArray().Count(s => s.GetProperty("state").GetString() == "unacknowledged");
        Assert.Equal(told, quality.RootElement.GetProperty("told").GetInt32());
        Assert.Equal(JsonValueKind.Object, quality.RootElement.GetProperty("priorities").ValueKind);
    }

    [Theory]
    [InlineData("/api/v1/cells/1/rejudgements/77", 404, "Cell 1 has no re-judgement 77. What it has stands in /api/v1/cells/1/rejudgements.")]
    [InlineData("/api/v1/alarms/quality?cell=1&from=2026-01-02T00:00:00Z&to=2026-01-01T00:00:00Z", 400, "from must lie before to, by 366 days at most.")]
    [InlineData("/api/v1/cells/9/runs", 404, "There is no cell 9 here. Cells: 1.")]
    [InlineData("/api/v1/cells/1/runs/4711", 404, "Cell 1 has no run 4711. What it has stands in /api/v1/cells/1/runs.")]
    [InlineData("/api/v1/cells/1/runs?limit=0", 400, "limit is 0; give 1 to 500.")]
    [InlineData("/api/v1/cells/1/runs?verdict=good", 400, "\"good\" is no verdict; give one of pass, fail, undetermined.")]
    [InlineData("/api/v1/cells/1/channels/tc99/budget", 404, "Cell 1 has no channel tc99. Channels: tc1, tc2, tc3, tc4, tc5, tc6, tc7, tc8, vapour, transport, pressure, cj, running, recipe, boards.")]
    [InlineData("/api/v1/cells/1/runs/24/curves?before=-1", 400, "before is -1; give 0 to 600 seconds.")]
    [InlineData("/api/v1/cells/1/runs/24/shape?columns=1", 400, "columns is 1; give 2 to 1000.")]
    [InlineData("/api/v1/cells/1/alarms/history?limit=5000", 400, "limit is 5000; give 1 to 1000.")]
    [InlineData("/api/v1/cells/1/runs?limit=x", 400, "limit: \"x\" cannot be read. Give a whole number.")]
    [InlineData("/api/v1/cells/1/runs?limit=5&from=yesterday", 400, "from: \"yesterday\" cannot be read. Give a time, such as 2026-03-02T08:00:00Z.")]
    [InlineData("/api/v1/nothing", 404, "There is nothing at /api/v1/nothing. What there is stands in /openapi/v1.json.")]
    public async Task What_cannot_be_answered_is_a_problem_that_says_what_to_do(string address, int status, string detail)
    {
        using HttpResponseMessage answer = await _demo.Http.GetAsync(new Uri(address, UriKind.Relative), TestContext.Current.CancellationToken);
        Assert.Equal((HttpStatusCode)status, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType?.MediaType);
        using JsonDocument problem = JsonDocument.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        Assert.Equal(detail, problem.RootElement.GetProperty("detail").GetString());
    }

    [Theory]
    [InlineData("rejudgements", """{"by":"Ines","reason":"x","spec":"Traction board"}""", 400, "spec: is no spec. Give {\"name\": ..., \"version\": ...} of a known one (")]
    [InlineData("rejudgements", """{"by":"Ines","reason":"x","calibrations":["tc7"]}""", 400, "calibrations: is no object. Give channels and their calibrations")]
    [InlineData("rejudgements", """{"by":"Ines","reason":"x","readHigh":{"tc99":3.1}}""", 400, "readHigh.tc99: is no channel of this cell. It has tc1,")]
    [InlineData("rejudgements", """{"by":"Ines","reason":"x","run":4711}""", 400, "run: 4711 is no run of this cell that has ended. Those are listed at /api/v1/cells/1/runs.")]
    [InlineData("rejudgements", """{"by":"Ines","reason":"x","from":"2026-03-02T08:00:00Z","to":"2026-03-01T08:00:00Z"}""", 400, "from, to: leave no time between them. Let from lie before to.")]
    [InlineData("runs/2/reference/withdraw", """{"by":"Ines","reason":"x"}""", 409, "Run 2 is no reference now, so there is nothing to take back.")]
    public async Task What_cannot_be_done_is_a_problem_that_says_what_to_do(string address, string body, int status, string detail)
    {
        using JsonDocument problem = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/" + address, body, status);
        Assert.StartsWith(detail, problem.RootElement.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Name_that_is_not_known_in_a_body_is_refused_and_nothing_of_it_taken()
    {
        using JsonDocument refused = await _demo.SendAsync(HttpMethod.Post, "/api/v1/cells/1/service-log", """{"kind":"fluid","by":"Ines","millilitres":200}""", 400);
        Assert.Equal(
            "body: millilitres is not known here, and nothing was taken. What it must be stands in /openapi/v1.json.",
            refused.RootElement.GetProperty("detail").GetString());
        using JsonDocument log = await _demo.GetAsync("/api/v1/cells/1/service-log");
        Assert.DoesNotContain(log.RootElement.GetProperty("entries").EnumerateArray(), e => e.GetProperty("by").GetString() == "Ines" && e.GetProperty("kind").GetString() == "fluid");
    }

    [Fact]
    public async Task Room_left_and_the_state_of_recording_are_told()
    {
        using JsonDocument record = await _demo.GetAsync("/api/v1/record");
        Assert.Equal("recording", record.RootElement.GetProperty("state").GetString());
        Assert.InRange(record.RootElement.GetProperty("freeBytes").GetInt64(), 1, long.MaxValue);
        double perDay = record.RootElement.GetProperty("bytesPerDay").GetDouble(), days = record.RootElement.GetProperty("daysLeft").GetDouble();
        Assert.Equal(record.RootElement.GetProperty("freeBytes").GetInt64() / perDay, days, tolerance: days * 0.01);
    }

    [Fact]
    public async Task A_run_is_taken_out_only_when_what_is_lost_is_confirmed()
    {
        const string Address = "/api/v1/cells/1/runs/4/deletion";
        using JsonDocument plan = await _demo.GetAsync(Address);
        long entries = plan.RootElement.GetProperty("entries").GetInt64();
        Assert.True(entries > 1000, plan.RootElement.GetRawText());
        using (await _demo.SendAsync(HttpMethod.Post, Address, """{"by":"M. Olsen","reason":"test piece"}""", 400))
        using (await _demo.SendAsync(HttpMethod.Post, Address, $$"""{"by":" ","reason":"test piece","entries":{{entries}}}""", 400))
        using (await _demo.SendAsync(HttpMethod.Post, Address, $$"""{"by":"M. Olsen","reason":"test piece","entries":{{entries}}}""", 200))
        using (JsonDocument again = await _demo.SendAsync(HttpMethod.Post, Address, $$"""{"by":"M. Olsen","reason":"test piece","entries":{{entries}}}""", 409))
        {
            Assert.Contains("left the record already", again.RootElement.GetProperty("detail").GetString(), StringComparison.Ordinal);
        }

        using JsonDocument still = await _demo.GetAsync("/api/v1/cells/1/runs/4");
        Assert.NotEmpty(still.RootElement.GetProperty("figures").EnumerateArray());
    }

    [Fact]
    public async Task Every_address_that_is_described_answers_with_the_keys_that_are_described()
    {
        using JsonDocument description = await _demo.GetAsync("/openapi/v1.json");
        var shapes = new DescribedShapes(description.RootElement);
        await _demo.RejudgedAsync("""{"by":"Ines","reason":"so that there is one to be asked for"}""");
        foreach (JsonProperty path in description.RootElement.GetProperty("paths").EnumerateObject())
        {
            if (!path.Name.StartsWith("/api/", StringComparison.Ordinal) || !path.Value.TryGetProperty("get", out JsonElement get)
                || path.Name.StartsWith("/api/v1/feeds/", StringComparison.Ordinal)) // the demo sends nothing anywhere
            {
                continue;
            }

            string address = path.Name.Replace("{cell}", "1", StringComparison.Ordinal)
                .Replace("rejudgements/{number}", "rejudgements/1", StringComparison.Ordinal).Replace("{id}", "1", StringComparison.Ordinal)
                .Replace("{number}", "24", StringComparison.Ordinal)
                .Replace("{serial}", "A1", StringComparison.Ordinal).Replace("{channel}", "tc1", StringComparison.Ordinal);
            // What is asked for here must be said.
            string asked = path.Name.EndsWith("/component-ceilings", StringComparison.Ordinal) ? "?process=Pb-free&thickness_mm=2&volume_mm3=300"
                : path.Name.EndsWith("/alarms/quality", StringComparison.Ordinal) ? "?cell=1" : "";
            using JsonDocument answer = await _demo.GetAsync(address + asked);
            JsonElement shape = get.GetProperty("responses").GetProperty("200").GetProperty("content").GetProperty("application/json").GetProperty("schema");
            Assert.Empty(shapes.Differences(shape, answer.RootElement, address));
        }
    }

    private static double[] Numbers(JsonElement array) => [.. array.EnumerateArray().Where(v => v.ValueKind == JsonValueKind.Number).Select(v => v.GetDouble())];

    private static DateTimeOffset Date(JsonDocument detail, string key) => detail.RootElement.GetProperty("run").GetProperty(key).GetDateTimeOffset();

    /// <summary>One demo for all of them: 24 runs behind it, the next one open.</summary>
    public sealed class Demo : IAsyncLifetime
    {
        private readonly DirectoryInfo _data = Directory.CreateTempSubdirectory("thermowatch-test-");
        private ProgramRun? _program;

        public HttpClient Http { get; } = new();

        public async ValueTask InitializeAsync()
        {
            int port = FreePorts.Next();
            Http.BaseAddress = new Uri($"http://localhost:{port}");
            _program = ProgramRun.Start(["demo", "--port", port.ToString(), "--data", _data.FullName]);
            await _program.SaysAsync("is at http://localhost:" + port);
        }

        public async Task<JsonDocument> GetAsync(string address)
        {
            string json = await Http.GetStringAsync(new Uri(address, UriKind.Relative));
            return JsonDocument.Parse(json);
        }

        public async Task<JsonDocument> SendAsync(HttpMethod method, string address, string json, int status)
        {
            using var request = new HttpRequestMessage(method, new Uri(address, UriKind.Relative)) { Content = new StringContent(json, Encoding.UTF8, "application/json") };
            using HttpResponseMessage answer = await Http.SendAsync(request);
            string body = await answer.Content.ReadAsStringAsync();
            Assert.True((HttpStatusCode)status == answer.StatusCode, $"{method} {address}: {(int)answer.StatusCode} {body}");
            return JsonDocument.Parse(body);
        }

        /// <summary>Asks for a re-judgement and waits for its job.</summary>
        public async Task<JsonDocument> RejudgedAsync(string request)
        {
            using JsonDocument begun = await SendAsync(HttpMethod.Post, "/api/v1/cells/1/rejudgements", request, 202);
            string job = $"/api/v1/cells/1/rejudgements/jobs/{begun.RootElement.GetProperty("id").GetInt64()}";
            while (true)
            {
                JsonDocument stands = await GetAsync(job);
                if (stands.RootElement.GetProperty("state").GetString() is not "running" and var state)
                {
                    Assert.Equal("done", state);
                    return stands;
                }

                stands.Dispose();
                await Task.Delay(50);
            }
        }

        public async ValueTask DisposeAsync()
        {
            Http.Dispose();
            if (_program is { } program)
            {
                await program.DisposeAsync();
            }

            _data.Delete(recursive: true);
        }
    }
}
