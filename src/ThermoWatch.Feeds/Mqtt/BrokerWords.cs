using System.Net.Sockets;
using System.Security.Cryptography;
using MQTTnet;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Why a broker does not let us in, with what to do about it, in plain words.</summary>
internal static class BrokerWords
{
    /// <summary>Whether a connection failed before anything was sent: nobody listens, a file is missing, or the library still ends the last one.</summary>
    public static bool NeverSent(Exception fault) =>
        fault is InvalidOperationException and not ObjectDisposedException
        || fault.GetBaseException() is FileNotFoundException or CryptographicException or SocketException
        {
            SocketErrorCode: SocketError.ConnectionRefused or SocketError.HostNotFound or SocketError.HostUnreachable or SocketError.NetworkUnreachable or SocketError.TryAgain,
        };

    /// <summary>Why no connection came about. Who takes one and ends it without a word often wants encryption, or none.</summary>
    /// <param name="broker">Who was called.</param>
    /// <param name="fault">What the network said.</param>
    /// <param name="reached">Whether the broker can have heard us.</param>
    public static string NotLetIn(Broker broker, Exception fault, bool reached)
    {
        string words = NetworkFault.WordsOf(fault, broker.Host, broker.Port);
        return !reached || fault is InvalidOperationException ? words
            : $"The broker ends the connection before it has let us in ({words.TrimEnd('.')}). Check that it takes {(broker.Tls ? "encrypted connections" : "connections without encryption (tls)")} on this port"
                + (broker is { Tls: true, CertificateFile: null } ? ", and whether it asks for a certificate of ours." : ".");
    }

    /// <summary>What a broker that does not know us wants.</summary>
    public static string Stranger(Broker broker, MqttClientConnectResultCode code) => broker.User is { } user
        ? $"The broker does not let us in ({code}): it does not know user \"{user}\" with this password. Check user and password of the feed."
        : $"The broker does not let us in ({code}): it asks for a user. Give the feed user and password.";
}
