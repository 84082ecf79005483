namespace ThermoWatch.Service.Configuration;

/// <summary>Enumerations as the words that stand in files and messages: camelCase, such as <c>coldJunction</c>.</summary>
internal static class Words
{
    public static Dictionary<string, T> Of<T>()
        where T : struct, Enum => Enum.GetValues<T>().ToDictionary(v => Of(v));

    public static string Of<T>(T value)
        where T : struct, Enum
    {
        string name = value.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }
}
