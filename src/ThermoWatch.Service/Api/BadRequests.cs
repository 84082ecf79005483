using System.Text.Json;
using System.Text.RegularExpressions;

namespace ThermoWatch.Service.Api;

/// <summary>What the host itself cannot read of a request, before any of our own code sees it, is answered in words too: which part, and what would be right.</summary>
internal static partial class BadRequests
{
    private const string Described = "What it must be stands in /openapi/v1.json.";

    public static void UseBadRequests(this WebApplication app) => app.Use(async (context, next) =>
    {
        try
        {
            await next(context);
        }
        catch (BadHttpRequestException fault) when (!context.Response.HasStarted)
        {
            await Problems.Of(fault.StatusCode, "The request cannot be read", DetailOf(fault)).ExecuteAsync(context);
        }
    });

    private static string DetailOf(BadHttpRequestException fault)
    {
        if (fault.InnerException is JsonException json)
        {
            return json.Path is { Length: > 2 } path ? $"body, {path[2..]}: the value does not fit. {Described}" : $"body: this is no JSON that fits. {Described}";
        }

        if (fault.Message.Contains("no body was provided", StringComparison.Ordinal) || fault.Message.Contains("from body", StringComparison.Ordinal))
        {
            return $"body: there is none. {Described}";
        }

        // The host names a parameter as it is declared: its type, then its name.
        Match part = Declared().Match(fault.Message);
        return part switch
        {
            { Success: true } when part.Groups["value"].Success => $"{part.Groups["name"].Value}: \"{part.Groups["value"].Value}\" cannot be read. {Described}",
            { Success: true } => $"{part.Groups["name"].Value}: is missing. {Described}",
            _ => fault.Message,
        };
    }

    [GeneratedRegex("""parameter "[^"]* (?<name>\w+)"( from "(?<value>[^"]*)")?""")]
    private static partial Regex Declared();
}
