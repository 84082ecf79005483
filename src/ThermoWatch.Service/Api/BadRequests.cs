using System.ComponentModel;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Http.Metadata;

namespace ThermoWatch.Service.Api;

/// <summary>What the host itself cannot read of a request, before any of our own code sees it, is answered in words too: which part, and what would be right.</summary>
internal static partial class BadRequests
{
    private const string Title = "The request cannot be read";
    private const string TooLong = "body: it is too long. What people say goes into the record for good: keep it under 4 MiB.";
    private const string Described = "What it must be stands in /openapi/v1.json.";

    public static void UseBadRequests(this WebApplication app) => app.Use(async (context, next) =>
    {
        try
        {
            await next(context);
            if (context.Response is { StatusCode: StatusCodes.Status400BadRequest, HasStarted: false, ContentType: null })
            {
                // A parameter that may be left out is refused by the host without a word.
                await Problems.Of(StatusCodes.Status400BadRequest, Title, DetailOf(context)).ExecuteAsync(context);
            }
            else if (context.Response is { StatusCode: StatusCodes.Status413PayloadTooLarge, HasStarted: false, ContentType: null })
            {
                await Problems.Of(StatusCodes.Status413PayloadTooLarge, Title, TooLong).ExecuteAsync(context);
            }
        }
        catch (BadHttpRequestException fault) when (!context.Response.HasStarted)
        {
            await Problems.Of(fault.StatusCode, Title, fault.StatusCode == StatusCodes.Status413PayloadTooLarge ? TooLong : DetailOf(fault)).ExecuteAsync(context);
        }
    });

    private static string DetailOf(HttpContext context)
    {
        foreach (IParameterBindingMetadata parameter in context.GetEndpoint()?.Metadata.GetOrderedMetadata<IParameterBindingMetadata>() ?? [])
        {
            Type type = Nullable.GetUnderlyingType(parameter.ParameterInfo.ParameterType) ?? parameter.ParameterInfo.ParameterType;
            if (context.Request.Query[parameter.Name] is [{ } value] && !TypeDescriptor.GetConverter(type).IsValid(value))
            {
                return $"{parameter.Name}: \"{value}\" cannot be read. {(Expected(type) is { } expected ? $"Give {expected}." : Described)}";
            }
        }

        return $"A parameter of the address cannot be read. {Described}";
    }

    private static string? Expected(Type type) =>
        type == typeof(int) || type == typeof(long) ? "a whole number"
        : type == typeof(double) ? "a number, such as 2.5"
        : type == typeof(bool) ? "true or false"
        : type == typeof(DateTimeOffset) ? "a time, such as 2026-03-02T08:00:00Z"
        : null;

    private static string DetailOf(BadHttpRequestException fault)
    {
        if (fault.InnerException is JsonException json)
        {
            if (Unknown().Match(json.Message) is { Success: true } unknown)
            {
                return $"body: {unknown.Groups["name"].Value} is not known here, and nothing was taken. {Described}";
            }

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

    [GeneratedRegex("""The JSON property '(?<name>[^']*)' could not be mapped""")]
    private static partial Regex Unknown();

    [GeneratedRegex("""parameter "[^"]* (?<name>\w+)"( from "(?<value>[^"]*)")?""")]
    private static partial Regex Declared();
}
