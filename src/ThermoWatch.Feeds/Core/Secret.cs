namespace ThermoWatch.Feeds;

/// <summary>A token or a password that stands outside the configuration: in an environment variable, or in a file.</summary>
/// <param name="Variable">Name of the variable; null if it is a file.</param>
/// <param name="File">Path of the file; null if it is a variable.</param>
public sealed record Secret(string? Variable, string? File)
{
    /// <summary>What it says now, so that a changed one needs no restart; or why it cannot be had.</summary>
    public bool TryRead(out string value, out string problem)
    {
        (value, problem) = ("", "");
        try
        {
            string? found = Variable is not null ? Environment.GetEnvironmentVariable(Variable) : System.IO.File.ReadAllText(File!);
            value = found?.Trim() ?? "";
            problem = value.Length > 0 ? "" : Variable is not null
                ? $"The environment variable {Variable} is not set. Set it for the service."
                : $"The file {File} is empty. Write the secret into it.";
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            problem = $"The secret's file cannot be read: {fault.Message} Give the service's user read access to it.";
        }

        return problem.Length == 0;
    }

    /// <summary>Never the secret itself.</summary>
    public override string ToString() => Variable is not null ? $"environment variable {Variable}" : $"file {File}";
}
