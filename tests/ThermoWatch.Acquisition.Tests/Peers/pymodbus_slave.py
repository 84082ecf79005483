"""A slave made with pymodbus 3.0. usage: pymodbus_slave.py tcp PORT | pymodbus_slave.py rtu DEVICE BAUD

Holding register i = 7 i + 1; input register i = 65535 - i; coil and discrete input i on where i is a multiple of 3.
1000 of each, unit 1.
"""
import asyncio
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.device import ModbusDeviceIdentification
from pymodbus.server import StartAsyncSerialServer, StartAsyncTcpServer
from pymodbus.transaction import ModbusRtuFramer

bits = [i % 3 == 0 for i in range(1000)]
slave = ModbusSlaveContext(
    hr=ModbusSequentialDataBlock(0, [(7 * i + 1) & 0xFFFF for i in range(1000)]),
    ir=ModbusSequentialDataBlock(0, [65535 - i for i in range(1000)]),
    co=ModbusSequentialDataBlock(0, list(bits)),
    di=ModbusSequentialDataBlock(0, list(bits)),
    zero_mode=True,
)
context = ModbusServerContext(slaves={1: slave}, single=False)
identity = ModbusDeviceIdentification(info_name={"VendorName": "Test bench", "ProductCode": "TB-1", "MajorMinorRevision": "1.2"})


async def main() -> None:
    kind, where = sys.argv[1], sys.argv[2]
    if kind == "tcp":
        server = StartAsyncTcpServer(context=context, identity=identity, address=("127.0.0.1", int(where)))
    else:
        server = StartAsyncSerialServer(
            context=context, identity=identity, framer=ModbusRtuFramer, port=where, baudrate=int(sys.argv[3]), parity="N")
    task = asyncio.ensure_future(server)
    await asyncio.sleep(0.2)
    print("ready", flush=True)
    await task


asyncio.run(main())
