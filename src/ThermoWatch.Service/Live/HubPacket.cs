using System.Buffers;
using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;

namespace ThermoWatch.Service.Live;

/// <summary>Calls on viewers that leave together, put into bytes once for all who speak the same protocol.</summary>
/// <remarks>Both protocols mark where a message ends, so several may follow each other in one write: a viewer then costs one, not one a call.</remarks>
internal sealed class HubPacket
{
    private readonly InvocationMessage[] _calls;
    private readonly ConcurrentDictionary<string, SerializedHubMessage> _written = new();

    public HubPacket(IEnumerable<InvocationMessage> calls) => _calls = [.. calls];

    public SerializedHubMessage In(IHubProtocol protocol) =>
        _written.TryGetValue(protocol.Name, out SerializedHubMessage? known) ? known : _written.GetOrAdd(protocol.Name, Write(protocol));

    private SerializedHubMessage Write(IHubProtocol protocol)
    {
        ArrayBufferWriter<byte> bytes = new();
        foreach (InvocationMessage call in _calls)
        {
            protocol.WriteMessage(call, bytes);
        }

        return new SerializedHubMessage([new SerializedMessage(protocol.Name, bytes.WrittenMemory)]);
    }
}
