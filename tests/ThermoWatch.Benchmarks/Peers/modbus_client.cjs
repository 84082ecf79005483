// modbus-serial (npm) master, default configuration. usage: node modbus_client.cjs MODULE_FOLDER PORT REGS SECONDS; prints polls/s.
const ModbusRTU = require(process.argv[2] + '/modbus-serial');
const [port, regs, seconds] = process.argv.slice(3).map(Number);
(async () => {
  const client = new ModbusRTU();
  await client.connectTCP('127.0.0.1', { port });
  client.setID(1);
  for (const end = performance.now() + 300; performance.now() < end;) await client.readHoldingRegisters(0, regs);
  let polls = 0;
  const start = performance.now();
  while (performance.now() < start + seconds * 1000) {
    const { data } = await client.readHoldingRegisters(0, regs);
    if (data[1] !== 8) throw new Error('wrong data');
    polls++;
  }
  console.log(polls / ((performance.now() - start) / 1000));
  client.close();
})();
