using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using ThermoWatch.Service.Demo;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch demo</c>: the service with a simulated cell on real loopback sockets, nothing to configure.</summary>
internal static class DemoCommand
{
    public static Command Create()
    {
        Option<int> port = new("--port") { Description = "Port of the web pages.", DefaultValueFactory = _ => 5170 };
        Option<double> speed = new("--speed")
        {
            Description = "How fast time goes, for the machine and for the service: 0.1 to 60.",
            DefaultValueFactory = _ => 1,
        };
        Option<string?> data = new("--data") { Description = "Folder of the record; by default a new one, whose path is printed." };
        Option<string> scenario = new("--scenario") { Description = "What the machine plays.", DefaultValueFactory = _ => "normal" };
        Option<double> startAt = new("--start-at")
        {
            Description = "Seconds of the current run that have passed when the page opens.",
            DefaultValueFactory = _ => 100,
        };
        Option<int> history = new("--history") { Description = "Finished runs in the record when the page opens.", DefaultValueFactory = _ => 24 };
        Option<bool> clean = new("--clean") { Description = "Delete the data folders that earlier demos have left, and end." };
        speed.Validators.Add(result => Within(result, speed.Name, 0.1, 60));
        history.Validators.Add(result => Within(result, history.Name, 0, 500));
        Command command = new("demo", "Show everything with a simulated machine. Example: thermowatch demo --speed 4")
        {
            port, speed, data, scenario, startAt, history, clean,
        };
        command.SetAction((parse, stopping) => parse.GetValue(clean)
            ? Task.FromResult(DemoFolders.Clean())
            : DemoNode.RunAsync(
                new DemoOptions(
                    parse.GetValue(port), parse.GetValue(speed), parse.GetValue(data), parse.GetValue(scenario)!,
                    parse.GetValue(startAt), parse.GetValue(history)),
                stopping));
        return command;
    }

    private static void Within(OptionResult result, string name, double least, double most)
    {
        // What is no number at all, the library says itself.
        if (result.Tokens is [var token] && double.TryParse(token.Value, CultureInfo.InvariantCulture, out double value)
            && !(value >= least && value <= most))
        {
            result.AddError(FormattableString.Invariant($"{name} is {value}. Use {least} to {most}."));
        }
    }
}
