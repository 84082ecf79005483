import { HubConnectionBuilder, LogLevel } from "@microsoft/signalr";
import { MessagePackHubProtocol } from "@microsoft/signalr-protocol-msgpack";
import type { AlarmOrders } from "./alarmContract";
import type { CellChange, ReadingMark } from "./contract";
import type { HubEvents, OpenHub } from "./hub";
import { Refusal } from "./records";

/**
 * Opens the live hub over MessagePack. The library's own reconnecting gives up after a while and remembers nothing,
 * so it stays off: `follow` reconnects and refills by sequence number.
 */
export async function openLiveHub(url: string, events: HubEvents): Promise<OpenHub> {
  const connection = new HubConnectionBuilder()
    .withUrl(url)
    .withHubProtocol(new MessagePackHubProtocol())
    // What it has to say (a lost socket, a refused request) is said by the page in words of its own.
    .configureLogging(LogLevel.None)
    .build();
  // A little more than the server's own keep-alive, so that a cell without readings is not taken for a lost one.
  connection.serverTimeoutInMilliseconds = 20_000;
  connection.keepAliveIntervalInMilliseconds = 5_000;
  connection.on("scan", (cell: number, seq: number, t: number, data: Uint8Array) =>
    events.scan({ cell, seq, t, data }),
  );
  connection.on("mark", (mark: ReadingMark) => events.mark(mark));
  connection.on("change", (change: CellChange) => events.change(change));
  connection.on("missed", (cell: number, seq: number) => events.missed(cell, seq));
  connection.onclose(() => events.closed());
  await connection.start();
  const order = async (name: keyof AlarmOrders, told: readonly unknown[]): Promise<void> => {
    try {
      await connection.invoke(name, ...told);
    } catch (error) {
      // The hub says why in words meant for people; what the library puts before them is not.
      const words = / HubException: (.*)$/s.exec((error as Error).message)?.[1];
      throw words === undefined ? error : new Refusal(words, 400);
    }
  };
  return {
    cells: () => connection.invoke("cells"),
    layout: (cell) => connection.invoke("layout", cell),
    since: (cell, seq) => connection.invoke("since", cell, seq),
    follow: (cell) => connection.invoke("follow", cell),
    unwatch: (cell) => connection.invoke("unwatch", cell),
    acknowledge: (...told) => order("acknowledge", told),
    shelve: (...told) => order("shelve", told),
    unshelve: (...told) => order("unshelve", told),
    outOfService: (...told) => order("outOfService", told),
    returnToService: (...told) => order("returnToService", told),
    reset: (...told) => order("reset", told),
    close: () => void connection.stop(),
  };
}
