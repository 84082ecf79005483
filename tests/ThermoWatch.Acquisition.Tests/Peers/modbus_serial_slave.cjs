// A slave made with the npm package modbus-serial. usage: node modbus_serial_slave.cjs MODULE_FOLDER PORT
// Holding register i = 7 i + 1; input register i = 65535 - i; coil and discrete input i on where i is a multiple of 3. 1000 of each, unit 1.
const { ServerTCP } = require(process.argv[2] + '/modbus-serial');
const within = (address, value) => {
  if (address >= 1000) throw { modbusErrorCode: 2, msg: 'no such address' };
  return value;
};
const server = new ServerTCP({
  getHoldingRegister: (address) => within(address, (7 * address + 1) & 0xffff),
  getInputRegister: (address) => within(address, 65535 - address),
  getCoil: (address) => within(address, address % 3 === 0),
  getDiscreteInput: (address) => within(address, address % 3 === 0),
}, { host: '127.0.0.1', port: Number(process.argv[3]), unitID: 1 });
server.on('initialized', () => console.log('ready'));
server.on('socketError', () => {});
