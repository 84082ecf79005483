using System.CommandLine;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Commands.Recalibrate;

RootCommand root = new("""
    ThermoWatch watches vacuum vapour-phase soldering: reads thermocouples and chamber pressure, records, judges and warns, live.
    It observes and records. It is not a safety function, switches nothing off, and may be late, wrong or stopped.
    """)
{
    ServeCommand.Create(),
    DemoCommand.Create(),
    SimulateCommand.Create(),
    JudgeCommand.Create(),
    ConvertCommand.Create(),
    RecalibrateCommand.Create(),
    RejudgeCommand.Create(),
    ProbeCommand.Create(ServeCommand.Devices),
    ExportCommand.Create(),
    VerifyCommand.Create(),
    CopyCommands.Backup(),
    CopyCommands.Restore(),
    RemoveRunCommand.Create(),
};

ParseResult parse = root.Parse(args);
if (parse.Errors.Count > 0)
{
    // Usage errors are exit code 2 by contract; the library would answer 1.
    foreach (System.CommandLine.Parsing.ParseError error in parse.Errors)
    {
        await Console.Error.WriteLineAsync($"thermowatch: {error.Message} See: thermowatch {parse.CommandResult.Command.Name} --help");
    }

    return ExitCodes.BadInput;
}

// Ctrl-C asks; the record is flushed and the pages are told before the program ends.
return await parse.InvokeAsync(new InvocationConfiguration { ProcessTerminationTimeout = TimeSpan.FromSeconds(10) });
