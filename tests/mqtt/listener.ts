// Somebody at the broker who listens: every message as it comes, and the record as it can be put together from what came.
// It reconnects by itself and keeps its session, as a careful subscriber does.

import { connect, type IPublishPacket, type MqttClient } from "mqtt";
import { vi } from "vitest";
import type { SentLine } from "../../daemon/outputs/mqtt/topics.ts";
import type { Mosquitto } from "../support/mosquitto.ts";

export type Heard = {
  readonly topic: string;
  readonly text: string;
  readonly retained: boolean;
  readonly qos: number;
  readonly expirySeconds: number | undefined;
  readonly contentType: string | undefined;
};

type Line = Omit<SentLine, "previous">;

export class Listener {
  readonly client: MqttClient;
  readonly heard: Heard[] = [];

  private constructor(client: MqttClient) {
    this.client = client;
    client.on("message", (topic, payload, { retain, qos, properties }: IPublishPacket) => {
      const { messageExpiryInterval: expirySeconds, contentType } = properties ?? {};
      this.heard.push({ topic, text: payload.toString("utf8"), retained: retain, qos, expirySeconds, contentType });
    });
  }

  /** Connected as `reader` and subscribed to everything below `emberwire/`. */
  static async at(broker: Mosquitto, clientId: string, filter = "emberwire/#"): Promise<Listener> {
    const client = connect({
      host: "127.0.0.1",
      port: broker.port,
      protocolVersion: 5,
      clientId,
      clean: false,
      properties: { sessionExpiryInterval: 3600 },
      username: "reader",
      password: "orchard",
      reconnectPeriod: 50,
    });
    // A broker that is away is this suite's business; the client tries again by itself.
    client.on("error", () => undefined);
    const listener = new Listener(client);
    await new Promise<void>((resolve) => client.once("connect", () => resolve()));
    await client.subscribeAsync(filter, { qos: 1 });
    return listener;
  }

  of(name: string): readonly Heard[] {
    return this.heard.filter(({ topic }) => topic.endsWith(`/${name}`));
  }

  /** The newest message of a topic, once there is one for which `holds`. */
  async until<T>(name: string, holds: (message: T) => boolean): Promise<T> {
    return vi.waitFor(
      () => {
        const last = this.of(name).at(-1);
        const message = last === undefined ? null : (JSON.parse(last.text) as T);
        if (message === null || !holds(message))
          throw new Error(`${name}: ${last?.text.slice(0, 300) ?? "nothing yet"}`);
        return message;
      },
      { timeout: 25_000, interval: 20 },
    );
  }

  /** Every line heard of, by run and number: from the lines themselves, gaps filled from the newest ones. */
  record(): ReadonlyMap<string, Line> {
    const lines = new Map<string, Line>();
    const add = (line: Line): unknown => lines.set(`${line.run} ${line.number}`, line);
    for (const { text } of this.of("record/recent"))
      for (const line of (JSON.parse(text) as { lines: Line[] }).lines) add(line);
    for (const { text } of this.of("record")) add(JSON.parse(text) as SentLine);
    return lines;
  }

  async close(): Promise<void> {
    await this.client.endAsync(true);
  }
}
