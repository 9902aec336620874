// One line to an MQTT 5 broker, opened again by itself for as long as it lives, each time as a new session. It keeps no message:
// what was not acknowledged when a session ended is its user's to send again, so no hidden queue grows and nothing old is sent late.

import { connect, type IClientOptions, type IPublishPacket, type MqttClient } from "mqtt";
import type { Cancel, Clock } from "../../../hardware/ports.ts";
import { type Refusal, troubleOf } from "./trouble.ts";

/** Plain data; crosses to the service thread. */
export type BrokerSettings = {
  readonly host: string;
  readonly port: number;
  readonly tls: boolean;
  /** Certificates of the authorities that are believed, PEM; null = those that Node knows. */
  readonly ca: string | null;
  readonly user: string | null;
  readonly password: string | null;
  readonly clientId: string;
};

/** What is published; `expirySeconds` null = it stays. */
export type Message = {
  readonly topic: string;
  readonly text: string;
  readonly retain: boolean;
  readonly expirySeconds: number | null;
};

/** What came in; `expirySeconds` is what was left of it at the broker. */
export type Arrival = {
  readonly topic: string;
  readonly payload: Buffer;
  readonly retained: boolean;
  readonly expirySeconds: number | null;
};

/** One connection that stands. */
export type Session = {
  /** Resolves when the broker has acknowledged it (QoS 1). @throws Error when the session ended before, or it was refused */
  readonly publish: (message: Message) => Promise<void>;
  /** @throws Error when it was refused */
  readonly subscribe: (filters: readonly string[]) => Promise<void>;
};

export type BrokerLinkOptions = {
  readonly settings: BrokerSettings;
  readonly clock: Clock;
  /** Published by the broker when this line breaks; null = nothing. */
  readonly will: Message | null;
  readonly onOpen: (session: Session) => void;
  readonly onMessage?: (arrival: Arrival) => void;
  readonly onClose?: (trouble: string) => void;
};

/** The broker takes the line for broken after 1.5 times this (section 3.1.2.10); so do we when it answers no ping. */
const KEEPALIVE_SECONDS = 10;
const CONNECT_SECONDS = 10;
const FIRST_RETRY_SECONDS = 1;
const LONGEST_RETRY_SECONDS = 60;
/** A session that stood this long starts the waiting anew. */
const HEALTHY_SECONDS = 30;
/** A goodbye gets this long. */
const GOODBYE_SECONDS = 1;
/** Larger ones are not delivered to us. */
const LARGEST_BYTES = 64 * 1024;

const FORMAT = { payloadFormatIndicator: true, contentType: "application/json" };

export class BrokerLink {
  readonly #options: BrokerLinkOptions;
  #client: MqttClient | null = null;
  #open = false;
  #openedSeconds = 0;
  #attempts = 0;
  #trouble: string | null = null;
  #retry: Cancel | null = null;
  #closed = false;

  constructor(options: BrokerLinkOptions) {
    this.#options = options;
    this.#connect();
  }

  get connected(): boolean {
    return this.#open;
  }

  /** Why there is no session; null while there is one, and before the first attempt ended. */
  get trouble(): string | null {
    return this.#open ? null : this.#trouble;
  }

  /** Ends the session because of something its user found, and tries again later. */
  fail(error: unknown): void {
    this.#trouble = troubleOf(error);
    this.#client?.end(true);
  }

  /** Says goodbye, so that the will is not published. */
  async close(): Promise<void> {
    this.#closed = true;
    this.#retry?.();
    const client = this.#client;
    if (client === null) return;
    // An acknowledgement that has not come by now is not waited for: the goodbye follows what was sent, in order.
    for (const id of Object.keys(client.outgoing)) client.removeOutgoingMessage(Number(id));
    await new Promise<void>((resolve) => {
      const cancel = this.#options.clock.after(GOODBYE_SECONDS, resolve);
      client.end(!this.#open, () => {
        cancel();
        resolve();
      });
    });
    client.stream.destroy();
  }

  #connect(): void {
    const client = connect(clientOptions(this.#options));
    this.#client = client;
    let trouble: string | null = null;
    let over = false;
    client.on("connect", () => {
      this.#open = true;
      this.#openedSeconds = this.#options.clock.monotonicSeconds();
      this.#options.onOpen(sessionOf(client));
    });
    client.on("message", (topic, payload, packet) => this.#options.onMessage?.(arrivalOf(topic, payload, packet)));
    client.on("disconnect", ({ reasonCode }) => {
      trouble ??= troubleOf(Object.assign(new Error("disconnected"), { code: reasonCode ?? 0 }) satisfies Refusal);
    });
    client.on("error", (error) => {
      trouble ??= troubleOf(error);
    });
    client.on("close", () => {
      if (over) return;
      over = true;
      this.#lost(client, trouble ?? this.#trouble ?? "it broke the connection");
    });
  }

  #lost(client: MqttClient, trouble: string): void {
    const stood = this.#open;
    const { clock, onClose, settings } = this.#options;
    this.#open = false;
    this.#trouble = trouble;
    this.#client = null;
    // Whoever waits for an acknowledgement is told; the stream is let go without waiting for a dead network.
    client.end(true);
    if (stood && clock.monotonicSeconds() - this.#openedSeconds > HEALTHY_SECONDS) this.#attempts = 0;
    if (this.#closed) return;
    const wait = Math.min(LONGEST_RETRY_SECONDS, FIRST_RETRY_SECONDS * 2 ** this.#attempts);
    this.#attempts += 1;
    this.#retry = clock.after(wait * (0.75 + 0.5 * shareOf(settings.clientId)), () => this.#connect());
    onClose?.(trouble);
  }
}

/** 0 to 1 by the name alone: many feedpoints do not all come back in the same instant. */
function shareOf(name: string): number {
  let hash = 0;
  for (const letter of name) hash = (hash * 31 + letter.charCodeAt(0)) % 1009;
  return hash / 1008;
}

function clientOptions({ settings, will }: BrokerLinkOptions): IClientOptions {
  const { host, port, tls, ca, user, password, clientId } = settings;
  return {
    protocol: tls ? "mqtts" : "mqtt",
    host,
    port,
    clientId,
    protocolVersion: 5,
    clean: true,
    keepalive: KEEPALIVE_SECONDS,
    connectTimeout: CONNECT_SECONDS * 1000,
    reconnectPeriod: 0,
    resubscribe: false,
    queueQoSZero: false,
    properties: { sessionExpiryInterval: 0, maximumPacketSize: LARGEST_BYTES },
    ...(ca === null ? {} : { ca }),
    ...(user === null ? {} : { username: user }),
    ...(password === null ? {} : { password }),
    ...(will === null
      ? {}
      : {
          will: {
            topic: will.topic,
            payload: Buffer.from(will.text),
            qos: 1 as const,
            retain: will.retain,
            properties: FORMAT,
          },
        }),
  };
}

function sessionOf(client: MqttClient): Session {
  return {
    publish: async ({ topic, text, retain, expirySeconds }) => {
      const expiry = expirySeconds === null ? {} : { messageExpiryInterval: expirySeconds };
      await client.publishAsync(topic, text, { qos: 1, retain, properties: { ...FORMAT, ...expiry } });
    },
    subscribe: async (filters) => {
      await client.subscribeAsync([...filters], { qos: 1 });
    },
  };
}

function arrivalOf(topic: string, payload: Buffer, { retain, properties }: IPublishPacket): Arrival {
  return { topic, payload, retained: retain, expirySeconds: properties?.messageExpiryInterval ?? null };
}
