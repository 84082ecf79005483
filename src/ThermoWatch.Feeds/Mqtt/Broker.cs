namespace ThermoWatch.Feeds.Mqtt;

/// <summary>How a broker is reached.</summary>
/// <param name="Host">Its name or address.</param>
/// <param name="Port">Its port, usually 1883, or 8883 with TLS.</param>
public sealed record Broker(string Host, int Port)
{
    /// <summary>Whether MQTT 5 is spoken; else 3.1.1.</summary>
    public bool Version5 { get; init; } = true;

    /// <summary>Name by which the broker tells its clients apart; two with the same one throw each other out.</summary>
    public string ClientId { get; init; } = "thermowatch";

    /// <summary>User; null: none.</summary>
    public string? User { get; init; }

    /// <summary>Password; null: none.</summary>
    public Secret? Password { get; init; }

    /// <summary>Whether the connection is encrypted.</summary>
    public bool Tls { get; init; }

    /// <summary>File of the authority (PEM) that has signed the broker's certificate; null: those that the computer trusts.</summary>
    public string? AuthorityFile { get; init; }

    /// <summary>File of our own certificate (PEM); null: none.</summary>
    public string? CertificateFile { get; init; }

    /// <summary>File of our own private key (PEM); null: none.</summary>
    public string? KeyFile { get; init; }

    /// <summary>Messages of quality 1 that may wait for their acknowledgement. Brokers grant 20 and more.</summary>
    public int Window { get; init; } = 16;

    /// <summary>How long a connection, and each answer on it, may take.</summary>
    public TimeSpan Patience { get; init; } = TimeSpan.FromSeconds(10);

    /// <summary>Address for people.</summary>
    public override string ToString() => $"{(Tls ? "mqtts" : "mqtt")}://{Host}:{Port}, MQTT {(Version5 ? "5" : "3.1.1")}";
}
