using System.Globalization;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;

namespace ThermoWatch.Service.Api;

/// <summary><c>PUT /api/v1/cells/{cell}/devices/{id}/exchange</c>: how a device is asked, changed while it is polled and entered into the audit trail.</summary>
internal static class ExchangeResource
{
    private const string UntilTheEnd = "In force from the next request until the service ends. To keep it, write it into the configuration file.";

    public static void MapExchange(this IEndpointRouteBuilder api) =>
        api.MapPut("/cells/{cell:int}/devices/{id}/exchange", Change)
            .Produces<ExchangeShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Changes how a device is asked, from its next request until the service ends: what is left out stays as it is.");

    private static IResult Change(int cell, string id, ExchangeRequest request, ProbeDesk desk, RunCatalogue catalogue)
    {
        if (desk.Lines.FirstOrDefault(l => l.Cell.Number == cell) is not { } line)
        {
            return Problems.NotFound($"There is no cell {cell} here. Cells: {string.Join(", ", desk.Cells)}.");
        }

        int at = line.Devices.Select(d => d.Id).ToList().IndexOf(id);
        if (at < 0)
        {
            return Problems.NotFound($"Cell {cell} has no device '{id}'. Use one of: {string.Join(", ", line.Devices.Select(d => d.Id))}.");
        }

        if (string.IsNullOrWhiteSpace(request.By))
        {
            return Problems.BadRequest("by", "Say who changes the settings.");
        }

        ExchangeShape before = Shape(line.Runner.Options(at));
        TimeSpan? timeout = request.TimeoutMilliseconds is { } given ? TimeSpan.FromMilliseconds(Math.Clamp(double.IsFinite(given) ? given : 0, 0, 1e9)) : null;
        IReadOnlyList<ConfigurationFault> faults = line.Runner.Change(at, new(timeout, request.Retries, request.MaxGapRegisters));
        if (faults.Count > 0)
        {
            return Problems.BadRequest(faults);
        }

        ExchangeShape after = Shape(line.Runner.Options(at));
        catalogue.Audit(new AuditEntry(desk.Now, request.By.Trim(), Environment.MachineName, AuditActions.DeviceChanged, $"cell {cell} device {id}", Text(before), Text(after), request.Reason));
        return Results.Ok(after);
    }

    private static ExchangeShape Shape(DeviceOptions device) => device is ModbusDeviceOptions modbus
        ? new(modbus.Timeout.TotalMilliseconds, modbus.Retries, modbus.MaxGapRegisters, UntilTheEnd)
        : new((device as TextDeviceOptions)?.Timeout.TotalMilliseconds, null, null, UntilTheEnd);

    private static string Text(ExchangeShape shape) => string.Create(CultureInfo.InvariantCulture,
        $"time-out {shape.TimeoutMilliseconds} ms{(shape.Retries is { } retries ? $", retries {retries}, gap {shape.MaxGapRegisters} registers" : "")}");
}

/// <summary>What is to change of how a device is asked.</summary>
/// <param name="TimeoutMilliseconds">Longest time for an answer in ms: 10 to 30000.</param>
/// <param name="Retries">How often a request is sent again within one poll: 0 to 5.</param>
/// <param name="MaxGapRegisters">Unused registers that may be read along: 0 to 124.</param>
/// <param name="By">Who changes it.</param>
/// <param name="Reason">Why.</param>
internal sealed record ExchangeRequest(double? TimeoutMilliseconds, int? Retries, int? MaxGapRegisters, string? By, string? Reason);

/// <summary>How a device is asked now.</summary>
/// <param name="TimeoutMilliseconds">Longest time for an answer in ms; null where nothing is asked.</param>
/// <param name="Retries">How often a request is sent again within one poll; null where there is no such thing.</param>
/// <param name="MaxGapRegisters">Unused registers that may be read along; null where there is no such thing.</param>
/// <param name="Holds">How long this holds, in words.</param>
internal sealed record ExchangeShape(double? TimeoutMilliseconds, int? Retries, int? MaxGapRegisters, string Holds);
