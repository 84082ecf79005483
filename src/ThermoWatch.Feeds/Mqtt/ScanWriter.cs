using System.Runtime.CompilerServices;
using System.Text.Encodings.Web;
using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Scans of one cell as JSON. Readings are most of what a feed sends, so they are written as bytes and not by way of objects.</summary>
internal sealed class ScanWriter
{
    private readonly ConditionalWeakTable<CellDefinition, byte[][]> _names = [];
    private readonly Utf8Buffer _json = new();

    /// <summary>A message. A bad reading is null: nobody may take it for a value.</summary>
    /// <param name="scans">At least one.</param>
    /// <param name="historical">Whether newer values may have been sent already.</param>
    public byte[] Write(IReadOnlyList<ScanItem> scans, bool historical)
    {
        _json.Clear();
        _json.Raw("{\"cell\":"u8);
        _json.Number((long)scans[0].Cell);
        _json.Raw(historical ? ",\"historical\":true,\"scans\":["u8 : ",\"scans\":["u8);
        for (int i = 0; i < scans.Count; i++)
        {
            _json.Raw(i == 0 ? "{\"seq\":"u8 : ",{\"seq\":"u8);
            Write(scans[i]);
        }

        _json.Raw("]}"u8);
        return _json.Bytes.ToArray();
    }

    private void Write(ScanItem scan)
    {
        byte[][] names = _names.GetValue(scan.Definition, Names);
        _json.Number(scan.Sequence);
        _json.Raw(",\"t\":\""u8);
        _json.Time(scan.Time);
        _json.Raw("\",\"values\":{"u8);
        bool doubtful = false;
        for (int i = 0; i < scan.Channels.Length; i++)
        {
            Name(names[scan.Channels[i]], first: i == 0);
            ref readonly Reading reading = ref scan.Readings[i];
            if (MqttMessages.HasValue(reading))
            {
                _json.Number(reading.Value);
            }
            else
            {
                _json.Raw("null"u8);
            }

            doubtful |= reading.Quality.Level != Quality.Good;
        }

        _json.Byte('}');
        if (doubtful)
        {
            WriteQuality(scan, names);
        }

        _json.Byte('}');
    }

    private void WriteQuality(ScanItem scan, byte[][] names)
    {
        _json.Raw(",\"quality\":{"u8);
        bool first = true;
        for (int i = 0; i < scan.Channels.Length; i++)
        {
            if (scan.Readings[i].Quality is { Level: not Quality.Good } quality)
            {
                Name(names[scan.Channels[i]], first);
                _json.Raw(Quoted(quality.ToString()));
                first = false;
            }
        }

        _json.Byte('}');
    }

    private void Name(byte[] name, bool first)
    {
        if (!first)
        {
            _json.Byte(',');
        }

        _json.Raw(name);
    }

    private static byte[][] Names(CellDefinition cell) => [.. cell.Channels.Select(c => (byte[])[.. Quoted(c.Id), (byte)':'])];

    private static byte[] Quoted(string text) => [(byte)'"', .. JsonEncodedText.Encode(text, JavaScriptEncoder.UnsafeRelaxedJsonEscaping).EncodedUtf8Bytes, (byte)'"'];
}
