using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class ConvertCommandTests : IDisposable
{
    private readonly string _config = Path.Combine(Path.GetTempPath(), $"thermowatch-convert-{Guid.NewGuid():N}.json");
    private readonly string _file = Path.Combine(Path.GetTempPath(), $"thermowatch-convert-{Guid.NewGuid():N}.csv");

    // Type K at 245 °C with its cold junction at 25 °C: 8.949798 mV (NIST SRD 60 function).
    [Fact]
    public void One_value_is_converted_with_its_uncertainty_and_what_that_leaves_out()
    {
        (int exit, string output, string error) = Run("--type K --emf 8.949798 --cold-junction 25");
        Assert.Equal(0, exit);
        Assert.Equal("", error);
        string[] lines = output.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(245.0, double.Parse(lines[0]["temperature_C: ".Length..], CultureInfo.InvariantCulture), tolerance: 1e-4);
        Assert.Equal("U_K: 1.73", lines[1]); // class 1: 2 × 1.5 K / √3
        Assert.Equal("quality: good", lines[2]);
        Assert.Contains("attachment not included", lines);
    }

    [Fact]
    public void Temperature_becomes_an_emf_against_the_cold_junction()
    {
        using JsonDocument json = JsonDocument.Parse(Run("--type k --temperature 245 --cold-junction 25 --json").Output);
        Assert.Equal(8.949798, json.RootElement.GetProperty("emf_mV").GetDouble(), tolerance: 1e-6);
        using JsonDocument ice = JsonDocument.Parse(Run("--type K --temperature 245 --json").Output);
        Assert.Equal(9.950040, ice.RootElement.GetProperty("emf_mV").GetDouble(), tolerance: 1e-6);
    }

    [Fact]
    public void Budget_is_open_line_by_line()
    {
        using JsonDocument json = JsonDocument.Parse(Run(
            "--type K --emf -0.4 --cold-junction 24 --class 2 --extension 1 --cold-junction-tolerance 0.5 --instrument-tolerance 0.5 --resolution 0.1 --attachment 1 --json").Output);
        Assert.Equal(14.0718, json.RootElement.GetProperty("temperature_C").GetDouble(), tolerance: 0.0001);
        Assert.Equal(
            ["thermocouple", "extension cable", "cold junction", "instrument", "resolution", "attachment"],
            json.RootElement.GetProperty("budget").EnumerateArray().Select(line => line.GetProperty("name").GetString()));
        Assert.Equal(0, json.RootElement.GetProperty("notIncluded").GetArrayLength());
    }

    [Fact]
    public void Out_of_range_is_a_result_and_not_an_error()
    {
        (int exit, string output, _) = Run("--type K --emf 60 --cold-junction 25 --json");
        Assert.Equal(0, exit);
        using JsonDocument json = JsonDocument.Parse(output);
        Assert.Equal(JsonValueKind.Null, json.RootElement.GetProperty("temperature_C").ValueKind);
        Assert.Equal("bad:outOfRange", json.RootElement.GetProperty("quality").GetString());
        Assert.Contains("quality: bad:outOfRange", Run("--type K --temperature 1400").Output, StringComparison.Ordinal);
    }

    // Worked chains from the NIST function; the last one is a row of reference/thermocouple/chain_cases.csv.
    [Fact]
    public void File_comes_back_with_result_uncertainty_and_quality()
    {
        Write("emf_mV,coldJunction_C", "8.956789,27.35", "60,25", ",25", "8.9,900000", "-6.376372,27.751");
        (int exit, string output, string error) = RunFile("--type K");
        Assert.Equal(0, exit);
        Assert.Equal("", error);
        string[] lines = Lines(output);
        Assert.Equal("emf_mV,coldJunction_C,temperature_C,U_K,quality", lines[0]);
        string[] first = lines[1].Split(',');
        Assert.Equal(["8.956789", "27.35"], first[..2]);
        Assert.Equal(247.5172, double.Parse(first[2], CultureInfo.InvariantCulture), tolerance: 0.0001);
        Assert.Equal(Math.Sqrt(3), double.Parse(first[3], CultureInfo.InvariantCulture), tolerance: 1e-12);
        Assert.Equal("good", first[4]);
        Assert.Equal("60,25,,,bad:outOfRange", lines[2]);
        Assert.Equal(",25,,,bad:noReading", lines[3]);
        Assert.Equal("8.9,900000,,,bad:coldJunction", lines[4]);
        string[] cold = lines[5].Split(',');
        Assert.Equal(-165.7029278493, double.Parse(cold[2], CultureInfo.InvariantCulture), tolerance: 1e-6);
        Assert.Equal("", cold[3]); // class 1 is not defined there, so there is no U
    }

    [Fact]
    public void File_of_temperatures_becomes_emfs()
    {
        Write("temperature_C,coldJunction_C", "245,25", "245,45");
        string[] lines = Lines(RunFile("--type K").Output);
        Assert.Equal("temperature_C,coldJunction_C,emf_mV,U_K,quality", lines[0]);
        Assert.Equal(8.949798, double.Parse(lines[1].Split(',')[2], CultureInfo.InvariantCulture), tolerance: 1e-6);
        Assert.Equal(8.132912, double.Parse(lines[2].Split(',')[2], CultureInfo.InvariantCulture), tolerance: 1e-6);
        Write("temperature_C", "245");
        Assert.Equal(9.950040, double.Parse(Lines(RunFile("--type K").Output)[1].Split(',')[1], CultureInfo.InvariantCulture), tolerance: 1e-6);
    }

    [Fact]
    public void Long_file_says_on_standard_error_how_far_it_is()
    {
        Write(["emf_mV,coldJunction_C", .. Enumerable.Repeat("8.956789,27.35", 10_000)]);
        (int exit, string output, string error) = Run($"--type K --from {_file}", new FakeTimeProvider { AutoAdvanceAmount = TimeSpan.FromSeconds(2) });
        Assert.Equal(0, exit);
        Assert.Equal(10_001, Lines(output).Length);
        Assert.Contains("convert: 4096 rows, ", error, StringComparison.Ordinal);
        Assert.Contains("convert: 10000 rows, 100 %", error, StringComparison.Ordinal);
    }

    [Fact]
    public void Other_columns_pass_through_as_they_stand()
    {
        Write("\"time, UTC\",emf_mV,note,\"coldJunction_C\"", "12:00:01,8.956789,\"weld 2, \"\"hot\"\"\",27.35", "12:00:02,\"8.956789\",,27.35");
        (int exit, string output, string error) = RunFile("--type K");
        Assert.Equal((0, ""), (exit, error));
        string[] lines = Lines(output);
        Assert.Equal("\"time, UTC\",emf_mV,note,\"coldJunction_C\",temperature_C,U_K,quality", lines[0]);
        Assert.StartsWith("12:00:01,8.956789,\"weld 2, \"\"hot\"\"\",27.35,247.517", lines[1], StringComparison.Ordinal);
        Assert.StartsWith("12:00:02,\"8.956789\",,27.35,247.517", lines[2], StringComparison.Ordinal);
    }

    [Fact]
    public void Field_over_several_lines_stays_one_and_later_lines_keep_their_numbers()
    {
        Write("note,emf_mV", "\"first", "second\",8.956789", "x,abc");
        (int exit, string output, string error) = RunFile("--type K --cold-junction 27.35");
        Assert.Equal(2, exit);
        Assert.Contains("second\",8.956789,247.517", output, StringComparison.Ordinal);
        Assert.Contains("line 4: column emf_mV: 'abc'", error, StringComparison.Ordinal);
    }

    // Whatever the other columns hold, the row comes back as it was, with three fields behind it.
    [Fact]
    public void Any_text_comes_back_to_the_letter() => Gen.String[Gen.Char[" ,;\"\näbc.5"], 0, 12].Sample(
        text =>
        {
            string quoted = $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
            var records = new CsvRecords(new StringReader($"{quoted},8.95,{quoted}\n1,2\n"));
            List<string> fields = [];
            Assert.True(records.Read(fields, out string raw, out string? fault));
            Assert.Null(fault);
            Assert.Equal([text, "8.95", text], fields);
            Assert.Equal($"{quoted},8.95,{quoted}", raw);
            Assert.True(records.Read(fields, out _, out _));
            Assert.Equal(["1", "2"], fields);
            Assert.Equal(2 + (2 * text.Count(c => c == '\n')), records.Line);
        },
        iter: 2000);

    [Theory]
    [InlineData("emf_mV,coldjunction_C", "1,2", "line 1", "write coldJunction_C")]
    [InlineData("temperature_C,CJ", "1,2", "line 1", "write coldJunction_C")]
    [InlineData("emf_mV,coldJunction_C,quality", "1,2,good", "line 1", "convert adds one")]
    [InlineData("emf_mV,coldJunction_C,note", "1,2,\"x", "line 2", "a quote is not closed")]
    [InlineData("emf_mV,coldJunction_C,note", "1,2,\"x\"y", "line 2", "text follows")]
    [InlineData("emf_mV,coldJunction_C", "\"8,95\",25", "line 2", "decimal comma")]
    [InlineData("note;more", "1;2", "line 1", "semicolons")]
    [InlineData("emf_mV;coldJunction_C", "1;2", "line 1", "semicolons")]
    [InlineData("emf_mV,cj", "1,2", "line 1", "'cj'")]
    [InlineData("emf_mV", "1", "line 1", "coldJunction_C")]
    [InlineData("emf_mV,temperature_C", "1,2", "line 1", "one of")]
    [InlineData("emf_mV,emf_mV", "1,2", "line 1", "twice")]
    [InlineData("coldJunction_C", "1", "line 1", "one of")]
    [InlineData("emf_mV,coldJunction_C", "8,95,25,0", "line 2", "decimal commas")]
    [InlineData("emf_mV,coldJunction_C", "8.9", "line 2", "missing")]
    [InlineData("emf_mV,coldJunction_C", "8.9,NaN", "line 2", "coldJunction_C")]
    [InlineData("emf_mV,coldJunction_C", "abc,25", "line 2", "'abc'")]
    public void Row_that_cannot_be_read_is_named_with_its_likely_cause(string header, string row, string where, string cause)
    {
        Write(header, row);
        (int exit, _, string error) = RunFile("--type K");
        Assert.Equal(2, exit);
        Assert.Contains(where, error, StringComparison.Ordinal);
        Assert.Contains(cause, error, StringComparison.Ordinal);
        Assert.Single(Lines(error));
    }

    // The channel's own chain: class 2, no cable, certificate of today with U = 0.6 K at k = 2 and +0.4 K.
    [Fact]
    public void Configured_channel_brings_its_type_calibration_and_budget()
    {
        string config = Configuration("""
            "thermocouple": "N", "coldJunction": 25, "uncertainty": { "class": "iec2", "extension": "none", "coldJunction_K": 0.5 },
            "calibrations": [ { "version": 4, "validFrom": "1999-01-01", "certificate": "C-4", "points": [[0, 0.4]], "U": 0.6 } ]
            """);
        using JsonDocument plain = JsonDocument.Parse(Run("--type N --emf 5 --cold-junction 25 --json").Output);
        (int exit, string output, string error) = Run($"--config {config} --channel tc1 --emf 5 --json");
        Assert.Equal((0, ""), (exit, error));
        using JsonDocument json = JsonDocument.Parse(output);
        JsonElement root = json.RootElement;
        Assert.Equal(plain.RootElement.GetProperty("temperature_C").GetDouble() + 0.4, root.GetProperty("temperature_C").GetDouble(), tolerance: 1e-12);
        Assert.Equal(("N", "tc1", 4), (root.GetProperty("type").GetString(), root.GetProperty("channel").GetString(), root.GetProperty("calibration").GetInt32()));
        JsonElement[] lines = [.. root.GetProperty("budget").EnumerateArray()];
        Assert.Equal(["calibration", "cold junction"], lines.Select(line => line.GetProperty("name").GetString()));
        Assert.Equal(0.3, lines[0].GetProperty("standard_K").GetDouble(), tolerance: 1e-12);
        Assert.Contains("calibration: version 4 (C-4)", Run($"--config {config} --channel tc1 --emf 5").Output, StringComparison.Ordinal);
        Write("emf_mV", "5");
        Assert.Equal(root.GetProperty("temperature_C").GetDouble(), double.Parse(Lines(RunFile($"--config {config} --channel tc1").Output)[1].Split(',')[1], CultureInfo.InvariantCulture), tolerance: 1e-12);
    }

    [Theory]
    [InlineData("--channel tc2 --emf 5", "Use one of: tc1")]
    [InlineData("--channel tc1 --type K --emf 5", "leave out --type")]
    [InlineData("--channel tc1 --resolution 1 --emf 5", "leave out --resolution")]
    [InlineData("--channel tc1 --emf 5 --cell 3", "no such channel")]
    public void Channel_that_cannot_be_taken_is_named_with_its_remedy(string arguments, string remedy)
    {
        (int exit, string output, string error) = Run($"--config {Configuration("\"thermocouple\": \"K\", \"coldJunction\": 25")} {arguments}");
        Assert.Equal((2, ""), (exit, output));
        Assert.Contains(remedy, error, StringComparison.Ordinal);
    }

    [Fact]
    public void Channel_of_which_nothing_is_known_has_no_uncertainty_and_says_so()
    {
        string output = Run($"--config {Configuration("\"thermocouple\": \"K\", \"coldJunction\": 25")} --channel tc1 --temperature 245").Output;
        Assert.Contains("no uncertainty: nothing is known of this channel's errors", output, StringComparison.Ordinal);
    }

    private string Configuration(string channel)
    {
        File.WriteAllText(_config, $$"""
            { "cells": [ { "number": 1,
              "devices": [ { "id": "amp", "driver": "modbusTcp", "host": "127.0.0.1", "points": [ { "id": "p0", "table": "input", "address": 0, "type": "float32" } ] } ],
              "channels": [ { "id": "tc1", "role": "product", "device": "amp", "point": "p0", "unit": "mV", {{channel}} } ] } ] }
            """);
        return _config;
    }

    [Theory]
    [InlineData("--type K")]
    [InlineData("--type K --emf 8")]
    [InlineData("--type K --emf 8 --cold-junction 25 --temperature 245")]
    [InlineData("--type K --from no-such-file.csv")]
    [InlineData("--type K --from no-such-file.csv --json")]
    public void Options_that_do_not_fit_together_end_with_two_and_one_line(string arguments)
    {
        (int exit, string output, string error) = Run(arguments);
        Assert.Equal(2, exit);
        Assert.Equal("", output);
        Assert.StartsWith("convert: ", Assert.Single(Lines(error)), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--type X --emf 8 --cold-junction 25")]
    [InlineData("--type K --emf 8,5 --cold-junction 25")]
    [InlineData("--type K --emf NaN --cold-junction 25")]
    [InlineData("--type K --emf 8 --cold-junction 25 --class 4")]
    [InlineData("--type K --emf 8 --cold-junction 25 --resolution -1")]
    [InlineData("--type K --emf 8 --cold-junction 25 --no-such-option")]
    public void Options_that_cannot_be_read_are_errors_of_the_parser(string arguments) =>
        Assert.NotEmpty(new RootCommand { ConvertCommand.Create() }.Parse("convert " + arguments).Errors);

    public void Dispose()
    {
        File.Delete(_file);
        File.Delete(_config);
    }

    private static string[] Lines(string text) => text.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);

    private static (int Exit, string Output, string Error) Run(string arguments, TimeProvider? time = null)
    {
        ParseResult parsed = new RootCommand { ConvertCommand.Create(time ?? new FakeTimeProvider()) }.Parse("convert " + arguments);
        Assert.Empty(parsed.Errors);
        using StringWriter output = new();
        using StringWriter error = new();
        int exit = parsed.Invoke(new InvocationConfiguration { Output = output, Error = error });
        return (exit, output.ToString(), error.ToString());
    }

    private void Write(params string[] lines) => File.WriteAllLines(_file, lines);

    private (int Exit, string Output, string Error) RunFile(string arguments) => Run($"{arguments} --from {_file}");
}
