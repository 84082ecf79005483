using System.Security.Authentication;

namespace ThermoWatch.Feeds;

/// <summary>Tells certificates that are not trusted from connections that fail: the former want somebody who acts.</summary>
internal static class TlsFault
{
    /// <summary>Why no encrypted connection came about; null if that was not the matter.</summary>
    public static string? Of(Exception fault, string host)
    {
        for (Exception? at = fault; at is not null; at = at.InnerException)
        {
            if (at is AuthenticationException)
            {
                return $"No encrypted connection to {host}: {at.Message}";
            }
        }

        return null;
    }
}
