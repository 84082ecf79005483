using System.Buffers.Binary;
using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Tests.Modbus;

/// <summary>Published frames (tests/reference/protocol/modbus_frames.csv, source beside each row), and how to ask for them with our request type.</summary>
public static class FrameVectors
{
    public sealed record Frame(string Name, byte[] Request, byte[] Response, string Meaning);

    public static IEnumerable<Frame> Of(string transport) => ReferenceTable.Read("protocol/modbus_frames.csv")
        .Where(r => r["transport"] == transport)
        .Select(r => new Frame(r["name"], Convert.FromHexString(r["hex_request"]), Convert.FromHexString(r["hex_response"]), r["meaning"]));

    /// <summary>Reads a request's PDU independently of the encoder. False for functions and quantities that our client never sends.</summary>
    public static bool TryRequest(ReadOnlySpan<byte> pdu, out ModbusRequest request)
    {
        request = default;
        if (pdu.Length < 4) return false;
        ushort address = BinaryPrimitives.ReadUInt16BigEndian(pdu[1..]);
        ushort second = pdu.Length >= 5 ? BinaryPrimitives.ReadUInt16BigEndian(pdu[3..]) : (ushort)0;
        switch (pdu[0])
        {
            case 1 or 2 or 3 or 4:
                ModbusTable table = pdu[0] switch { 1 => ModbusTable.Coil, 2 => ModbusTable.Discrete, 3 => ModbusTable.Holding, _ => ModbusTable.Input };
                if (second == 0 || second > table.MaxQuantity() || address + second > 65536) return false;
                request = ModbusRequest.Read(table, address, second);
                return true;
            case 5 when second is 0 or 0xFF00:
                request = ModbusRequest.WriteCoil(address, second != 0);
                return true;
            case 6:
                request = ModbusRequest.WriteRegister(address, second);
                return true;
            case 16:
                request = ModbusRequest.WriteRegisters(address, pdu[6..]);
                return true;
            case 23:
                request = ModbusRequest.ReadWrite(address, second, BinaryPrimitives.ReadUInt16BigEndian(pdu[5..]), pdu[10..]);
                return true;
            case 43:
                request = ModbusRequest.Identify(pdu[2], pdu[3]);
                return true;
            default:
                return false;
        }
    }
}
