"""pymodbus master, default configuration. usage: modbus_client.py PORT REGS SECONDS; prints polls/s."""
import sys
import time

from pymodbus.client import ModbusTcpClient

port, regs, seconds = int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])
client = ModbusTcpClient("127.0.0.1", port=port)
assert client.connect()
end = time.monotonic() + 0.2
while time.monotonic() < end:
    client.read_holding_registers(0, regs, slave=1)
polls, start = 0, time.monotonic()
while time.monotonic() < start + seconds:
    assert client.read_holding_registers(0, regs, slave=1).registers[1] == 8
    polls += 1
print(polls / (time.monotonic() - start))
