using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Tests;

namespace ThermoWatch.Acquisition.Tests.Peers;

/// <summary>Modbus TCP slaves built on libraries that we did not write.</summary>
public sealed class RealSlaves
{
    [Fact]
    public void Libmodbus_slave_over_tcp_is_read()
    {
        int port = FreePorts.Next();
        using PeerProcess slave = PeerProcess.Start(PeerProcess.Compile("libmodbus_slave.c", "modbus"), "tcp", $"{port}");
        ReadEverything(new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System));
    }

    [Fact]
    public void Pymodbus_slave_over_tcp_is_read()
    {
        int port = FreePorts.Next();
        using PeerProcess slave = StartPymodbus("tcp", $"{port}");
        ReadEverything(new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System, maxOutstanding: 4));
    }

    [Fact]
    public void Modbus_serial_slave_over_tcp_is_read()
    {
        int port = FreePorts.Next();
        string node = ThermoWatch.Tests.Peers.Program("node", "nodejs");
        string modules = Path.Combine(PeerProcess.SourceFolder, "node_modules");
        ThermoWatch.Tests.Peers.Need(
            Directory.Exists(Path.Combine(modules, "modbus-serial")), "the npm package modbus-serial is not installed (npm ci --ignore-scripts in tests/ThermoWatch.Acquisition.Tests/Peers)");
        using PeerProcess slave = PeerProcess.Start(node, PeerProcess.Script("modbus_serial_slave.cjs"), modules, $"{port}");
        ReadEverything(new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System, maxOutstanding: 8));
    }

    [Fact]
    public void Libmodbus_slave_behind_a_gateway_that_passes_bytes_is_read()
    {
        string socat = ThermoWatch.Tests.Peers.Program("socat", "socat");
        using PtyPair line = PtyPair.Create();
        using PeerProcess slave = PeerProcess.Start(PeerProcess.Compile("libmodbus_slave.c", "modbus"), "rtu", line.Theirs, "115200");
        int port = FreePorts.Next();
        using PeerProcess gateway = PeerProcess.StartSilent(socat, $"TCP-LISTEN:{port},bind=127.0.0.1,reuseaddr", $"{line.Ours},raw,echo=0");
        var client = new ModbusRtuClient(new TcpLink("127.0.0.1", port), TimeProvider.System, TimeSpan.Zero);
        for (int attempt = 0; client.Open(TimeSpan.FromSeconds(1)).Status != LinkStatus.Done; attempt++)
        {
            Assert.True(attempt < 10_000 && gateway.Running, "the gateway does not listen");
            Thread.Yield();
        }

        ReadOpen(client);
    }

    [Theory]
    [InlineData("libmodbus")]
    [InlineData("pymodbus")]
    public void What_is_written_where_writing_is_allowed_can_be_read_back(string library)
    {
        int port = FreePorts.Next();
        using PeerProcess slave = library == "pymodbus"
            ? StartPymodbus("tcp", $"{port}")
            : PeerProcess.Start(PeerProcess.Compile("libmodbus_slave.c", "modbus"), "tcp", $"{port}");
        using var client = new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System, 1, mayWrite: _ => true);
        Assert.Equal(LinkStatus.Done, client.Open(TimeSpan.FromSeconds(20)).Status);
        Send(client, ModbusRequest.WriteRegister(10, 0xBEEF));
        Send(client, ModbusRequest.WriteRegisters(11, [0x12, 0x34, 0x56, 0x78]));
        Assert.Equal("BEEF12345678", Send(client, ModbusRequest.Read(ModbusTable.Holding, 10, 3)));
        Assert.Equal("ABCD1234", Send(client, ModbusRequest.ReadWrite(10, 2, 10, [0xAB, 0xCD]))); // the write comes before the read
        Send(client, ModbusRequest.WriteCoil(21, true));
        Send(client, ModbusRequest.WriteCoils(22, 10, [0xFF, 0x01])); // 22 to 30 on, 31 off
        Assert.Equal("FF03", Send(client, ModbusRequest.Read(ModbusTable.Coil, 21, 11))); // 21 to 30 on, 31 off
    }

    [Fact]
    public void A_slave_tells_what_it_is()
    {
        int port = FreePorts.Next();
        using PeerProcess slave = StartPymodbus("tcp", $"{port}");
        using var client = new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System);
        Assert.Equal(LinkStatus.Done, client.Open(TimeSpan.FromSeconds(20)).Status);
        ModbusExchange told = client.Exchange(1, ModbusRequest.Identify(1), TimeSpan.FromSeconds(20));
        Assert.Equal("Test bench, TB-1, 1.2", ModbusNumbers.Identification(told.Data));
    }

    private static string Send(ModbusTcpClient client, ModbusRequest request)
    {
        ModbusExchange exchange = client.Exchange(1, request, TimeSpan.FromSeconds(20));
        Assert.Equal((ExchangeStatus.Ok, null), (exchange.Status, exchange.Reason));
        return Convert.ToHexString(exchange.Data);
    }

    /// <summary>Starts the pymodbus slave, or ends the test if pymodbus is not installed.</summary>
    internal static PeerProcess StartPymodbus(params string[] arguments)
    {
        const string python = "/usr/bin/python3"; // Debian's own: the module lives there
        ThermoWatch.Tests.Peers.Need(
            File.Exists(python) && Directory.Exists("/usr/lib/python3/dist-packages/pymodbus"), "pymodbus is not installed (Debian package python3-pymodbus)");
        return PeerProcess.Start(python, [PeerProcess.Script("pymodbus_slave.py"), .. arguments]);
    }

    /// <summary>Reads all four tables at their edges and past the end, as the slaves' sources describe them.</summary>
    internal static void ReadEverything(IModbusClient client)
    {
        using (client)
        {
            Assert.Equal(LinkStatus.Done, client.Open(TimeSpan.FromSeconds(20)).Status);
            ReadOpen(client);
        }
    }

    private static void ReadOpen(IModbusClient client)
    {
        using (client)
        {
            var blocks = new List<ReadBlock>();
            foreach (int quantity in (int[])[1, 2, 16, 125])
            {
                foreach (int address in (int[])[0, 1, 500, 1000 - quantity])
                {
                    blocks.Add(new(ModbusTable.Holding, (ushort)address, quantity));
                    blocks.Add(new(ModbusTable.Input, (ushort)address, quantity));
                    blocks.Add(new(ModbusTable.Coil, (ushort)address, quantity));
                    blocks.Add(new(ModbusTable.Discrete, (ushort)address, quantity));
                }
            }

            var check = new Checker(blocks);
            client.ReadBlocks(1, blocks.ToArray(), TimeSpan.FromSeconds(20), check);
            Assert.Equal(blocks.Count, check.Seen);

            ModbusExchange beyond = client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, 999, 2), TimeSpan.FromSeconds(20));
            Assert.Equal((ExchangeStatus.Refused, ModbusExceptions.IllegalDataAddress), (beyond.Status, beyond.ExceptionCode));
        }
    }

    private sealed class Checker(List<ReadBlock> blocks) : IBlockReader
    {
        public int Seen { get; private set; }

        public void OnBlock(int index, in ModbusExchange exchange)
        {
            ReadBlock block = blocks[index];
            Assert.Equal((ExchangeStatus.Ok, null), (exchange.Status, exchange.Reason));
            Seen++;
            for (int i = 0; i < block.Quantity; i++)
            {
                int at = block.Address + i;
                int got = block.Table.IsBits()
                    ? (exchange.Data[i / 8] >> (i % 8)) & 1
                    : (exchange.Data[2 * i] << 8) | exchange.Data[(2 * i) + 1];
                int expected = block.Table switch
                {
                    ModbusTable.Holding => (7 * at) + 1,
                    ModbusTable.Input => 65535 - at,
                    _ => at % 3 == 0 ? 1 : 0,
                };
                Assert.Equal(expected, got);
            }
        }
    }
}
