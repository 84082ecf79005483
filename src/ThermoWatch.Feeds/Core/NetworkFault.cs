using System.Globalization;
using System.Net.Sockets;
using System.Security.Authentication;

namespace ThermoWatch.Feeds;

/// <summary>Why the other side was not reached, with what to do about it, in plain words.</summary>
internal static class NetworkFault
{
    /// <summary>Words of a failed connection.</summary>
    /// <param name="fault">What the network said.</param>
    /// <param name="host">The name that we have called.</param>
    /// <param name="port">The port that we have called.</param>
    public static string WordsOf(Exception fault, string host, int port)
    {
        string at = string.Create(CultureInfo.InvariantCulture, $"{host}:{port}");
        return Socket(fault) switch
        {
            SocketError.ConnectionRefused => $"Connection to {at} refused: nothing listens there. Check that the other side runs, and its address and port.",
            SocketError.HostNotFound or SocketError.TryAgain or SocketError.NoData => $"The name {host} is not known here. Check how it is written, and this computer's name server.",
            SocketError.HostUnreachable or SocketError.NetworkUnreachable or SocketError.TimedOut => Unreached(at),
            _ => fault.GetBaseException().Message,
        };
    }

    /// <summary>Words of a connection that did not come about in time.</summary>
    public static string Unreached(string at) => $"{at} is not reached. Check its address, and the network and firewalls between.";

    /// <summary>What the end of an encrypted handshake says; null if that was not the matter.</summary>
    /// <param name="fault">What the network said.</param>
    /// <param name="who">What the other side is: broker, server.</param>
    public static string? OfEncryption(Exception fault, string who)
    {
        bool failed = false;
        for (Exception? at = fault; at is not null; at = at.InnerException)
        {
            failed |= at is AuthenticationException;
            // The names of TLS alerts as RFC 8446 6 has them, in the words of the library that met them.
            if (at.Message.Contains("alert certificate required", StringComparison.Ordinal))
            {
                return $"the {who} asks for a certificate of ours. Give the feed certificate and key.";
            }

            if (at.Message.Contains(" alert ", StringComparison.Ordinal) && at.Message.Contains("routines::", StringComparison.Ordinal))
            {
                return $"the {who} does not take ours ({at.Message[(at.Message.LastIndexOf("::", StringComparison.Ordinal) + 2)..]}). Check certificate and key of the feed, and what the {who} asks for.";
            }
        }

        return failed ? $"{fault.GetBaseException().Message} Check that the {who} takes encrypted connections on this port." : null;
    }

    private static SocketError? Socket(Exception fault)
    {
        for (Exception? at = fault; at is not null; at = at.InnerException)
        {
            if (at is SocketException socket)
            {
                return socket.SocketErrorCode;
            }
        }

        return null;
    }
}
