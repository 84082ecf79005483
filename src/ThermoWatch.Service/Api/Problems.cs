using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Api;

/// <summary>Answers to what cannot be done: RFC 9457 problem details that say what to do instead.</summary>
internal static class Problems
{
    public static IResult NotFound(string detail) => Results.Problem(detail, statusCode: StatusCodes.Status404NotFound, title: "Not here");

    /// <param name="parameter">Which part of the request.</param>
    /// <param name="detail">What is wrong with it and what would be right.</param>
    public static IResult BadRequest(string parameter, string detail) => Results.Problem(
        detail, statusCode: StatusCodes.Status400BadRequest, title: "The request cannot be read",
        extensions: new Dictionary<string, object?> { ["parameter"] = parameter });

    /// <summary>A body with several faults: all at once, each with its path and remedy.</summary>
    public static IResult BadRequest(IReadOnlyList<ConfigurationFault> faults) => Results.Problem(
        string.Join(' ', faults.Select(f => $"{f.Path}: {f.Problem}. {f.Remedy}")),
        statusCode: StatusCodes.Status400BadRequest, title: "The request cannot be read",
        extensions: new Dictionary<string, object?> { ["faults"] = faults.Select(f => new { path = f.Path, problem = f.Problem, remedy = f.Remedy }) });

    public static IResult Of(int status, string title, string detail) => Results.Problem(detail, statusCode: status, title: title);
}
