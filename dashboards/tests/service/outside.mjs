// A program that is not ours, as an outside client would write it from the description of the hub alone: it shares no
// code with the pages. It says on its output, one JSON object a line, what it sees.
// node outside.mjs ADDRESS json|msgpack [acknowledge]
import { HubConnectionBuilder, LogLevel } from "@microsoft/signalr";
import { MessagePackHubProtocol } from "@microsoft/signalr-protocol-msgpack";

const [address, protocol, acknowledges] = process.argv.slice(2);
const say = (what) => process.stdout.write(`${JSON.stringify(what)}\n`);
const builder = new HubConnectionBuilder().withUrl(`${address}/hubs/live`).configureLogging(LogLevel.None);
if (protocol === "msgpack") builder.withHubProtocol(new MessagePackHubProtocol());
const hub = builder.build();

let layout;
/** JSON has bytes as base64 text. */
const bytesOf = (data) => (typeof data === "string" ? Buffer.from(data, "base64") : Buffer.from(data));
function read(data) {
  const bytes = bytesOf(data);
  const count = layout.channels.length;
  return layout.channels.map((channel, i) => ({
    id: channel.id,
    value: bytes.readFloatLE(4 * i),
    quality: (bytes[4 * count + (i >> 2)] >> (2 * (i % 4))) & 3,
  }));
}

const scans = [];
hub.on("scan", (cell, seq, t, data) => {
  scans.push(seq);
  say({ scan: seq, cell, t, bytes: bytesOf(data).toString("hex"), values: read(data) });
});
const alarms = new Map();
const ended = new Set();
let asked = false;
hub.on("state", async (state) => {
  for (const alarm of state.alarms) {
    if (alarms.get(alarm.id) !== alarm.state)
      say({ alarm: alarm.id, state: alarm.state, what: alarm.what, action: alarm.action });
    alarms.set(alarm.id, alarm.state);
    if (acknowledges === "acknowledge" && !asked && alarm.condition === "tooHot") {
      asked = true;
      await hub.invoke("acknowledge", state.cell, alarm.id, "outside", "seen by a program");
    }
  }
  for (const id of [...alarms.keys()])
    if (!state.alarms.some((alarm) => alarm.id === id)) {
      alarms.delete(id);
      say({ alarm: id, state: "over" });
    }
  for (const run of state.runs)
    if (run.end !== null && !ended.has(run.number)) {
      ended.add(run.number);
      say({ ended: run.number, verdict: run.verdict, start: run.start, end: run.end, figures: run.figures.length });
    }
});

await hub.start();
const cells = await hub.invoke("cells");
layout = await hub.invoke("layout", cells[0].cell);
say({ cells, channels: layout.channels.map((channel) => channel.id), session: layout.session });
const state = await hub.invoke("watch", cells[0].cell);
for (const run of state.runs) if (run.end !== null) ended.add(run.number);
say({ state: state.seq, runs: state.runs.map((run) => run.number) });

// What came before is asked for, page by page; and a question that makes no sense is answered with what would.
let after = layout.fromSeq;
let refilled = 0;
for (let more = true; more; ) {
  const refill = await hub.invoke("since", cells[0].cell, after);
  refilled += refill.frames.length;
  more = refill.more && refill.frames.length > 0;
  if (more) after = refill.frames.at(-1).seq;
}
say({ refilled });
await hub.invoke("layout", 4711).catch((error) => say({ refusal: error.message }));

process.on("SIGTERM", async () => {
  await hub.stop();
  process.exit(0);
});
