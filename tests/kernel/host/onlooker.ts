// A client of the daemon's stream, as a page in the shack would be: it keeps the newest frame and the road to it.

import WebSocket from "ws";
import { mergeDelta } from "../../../daemon/wire/delta.ts";
import type { Frame, QuantityName, ServerMessage } from "../../../daemon/wire/frame.ts";
import { within } from "./deadline.ts";

/** A frame and when the host had it. */
export type SeenFrame = { readonly frame: Frame; readonly hostMs: number };

/** More than a test can wait for; older ones are forgotten. */
const MOST_FRAMES = 2_000;
const MOST_LINES = 40;

export class Onlooker {
  private readonly socket: WebSocket;
  private readonly seen: SeenFrame[] = [];
  private readonly waiting = new Set<() => void>();

  private constructor(socket: WebSocket) {
    this.socket = socket;
    socket.on("message", (data) => this.take(JSON.parse(String(data)) as ServerMessage));
    socket.on("error", () => undefined);
  }

  static async open(port: number): Promise<Onlooker> {
    const socket = new WebSocket(`ws://127.0.0.1:${port}/api/v1/stream`);
    const onlooker = new Onlooker(socket);
    const opened = new Promise<void>((resolve, reject) => {
      socket.once("open", resolve);
      socket.once("error", reject);
    });
    try {
      await within(20, "the stream", opened);
    } catch (error) {
      socket.terminate();
      throw error;
    }
    return onlooker;
  }

  private take(message: ServerMessage): void {
    const last = this.seen.at(-1);
    if (message.type === "delta" && last === undefined) throw new Error("a delta came before any snapshot");
    const frame = message.type === "snapshot" ? message.frame : mergeDelta(last!.frame, message.delta);
    this.seen.push({ frame, hostMs: performance.now() });
    if (this.seen.length > MOST_FRAMES) this.seen.shift();
    for (const look of this.waiting) look();
  }

  get newest(): Frame | null {
    return this.seen.at(-1)?.frame ?? null;
  }

  /** The last frames in one line each, for a failure's story. */
  get recent(): string {
    const line = ({ frame }: SeenFrame): string => {
      const { at_seconds, power_stage, fan, reasons, relay_readback, alarms, quantities } = frame;
      const fanRpm = quantities.fan_rpm;
      const tags = alarms.map(({ tag, state }) => `${tag} ${state}`);
      return [
        at_seconds.toFixed(2),
        `${power_stage} (${reasons.join("; ")})`,
        `fan ${fan} ${fanRpm?.value?.toFixed(0) ?? fanRpm?.code}`,
        `core ≤ ${quantities.core_upper_celsius?.value?.toFixed(1)} °C`,
        `relay ${JSON.stringify(relay_readback)}`,
        tags.join(", "),
      ].join(" · ");
    };
    return this.seen.slice(-MOST_LINES).map(line).join("\n");
  }

  /** Frames that arrived after an instant of the host's clock, oldest first. */
  since(hostMs: number): readonly SeenFrame[] {
    return this.seen.filter((seen) => seen.hostMs >= hostMs);
  }

  /** The first frame after `hostMs` that fits; rejects with the newest frame's words after `seconds`. */
  async until(what: string, hostMs: number, seconds: number, fits: (frame: Frame) => boolean): Promise<SeenFrame> {
    let look = (): void => undefined;
    const found = new Promise<SeenFrame>((resolve) => {
      look = () => {
        const first = this.seen.find((seen) => seen.hostMs >= hostMs && fits(seen.frame));
        if (first !== undefined) resolve(first);
      };
    });
    this.waiting.add(look);
    look();
    try {
      return await within(seconds, what, found);
    } catch (error) {
      throw new Error(`${what}; the newest frame: ${JSON.stringify(this.newest)}`, { cause: error });
    } finally {
      this.waiting.delete(look);
    }
  }

  close(): void {
    this.socket.terminate();
  }
}

/** Value of a quantity; null when the frame has none to show. */
export function shown(frame: Frame, name: QuantityName): number | null {
  return frame.quantities[name]?.value ?? null;
}
