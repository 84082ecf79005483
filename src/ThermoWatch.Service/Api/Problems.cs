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
}
