using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Api;

/// <summary>What the API says when it cannot do what it was asked: problem details (RFC 9457), each with what to do.</summary>
internal static class Problems
{
    public static IResult Of(int status, string title, string detail) => TypedResults.Problem(detail, statusCode: status, title: title);

    /// <summary>A request whose content is wrong: every fault at once, with its path and remedy.</summary>
    public static IResult Of(IReadOnlyList<ConfigurationFault> faults) => TypedResults.Problem(
        string.Join(' ', faults.Select(f => $"{f.Path}: {f.Problem}. {f.Remedy}")),
        statusCode: StatusCodes.Status400BadRequest,
        title: "The request cannot be used.",
        extensions: new Dictionary<string, object?> { ["faults"] = faults.Select(f => new { path = f.Path, problem = f.Problem, remedy = f.Remedy }) });
}
