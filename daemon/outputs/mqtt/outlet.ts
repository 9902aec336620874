// What an MQTT broker is told of this feedpoint: state, alarms and record, in the topic tree of topics.ts. Loaded only where a
// broker is configured. It subscribes to nothing: no command comes in this way.

import type { Clock } from "../../../hardware/ports.ts";
import type { LoggedLine } from "../../season/record-page.ts";
import type { About, Frame } from "../../wire/frame.ts";
import { Bookmark } from "./bookmark.ts";
import { BrokerLink, type BrokerSettings, type Session } from "./broker-link.ts";
import { RecordLane, type RecordSource } from "./record-lane.ts";
import { Slot } from "./slot.ts";
import { type FeedpointMessage, TOPICS, type TopicName, topicOf } from "./topics.ts";

/** Plain data; crosses to the service thread. */
export type OutletSettings = {
  readonly broker: BrokerSettings;
  readonly prefix: string;
  readonly id: string;
  readonly page: string | null;
  readonly everySeconds: number;
  readonly expirySeconds: number;
  /** Keeps how far the record was taken. */
  readonly bookmarkFile: string;
};

export type OutletOptions = {
  readonly settings: OutletSettings;
  readonly about: About;
  /** The machine's clock. */
  readonly clock: Clock;
  readonly record: RecordSource;
  /** For the record: the broker has been out of reach for a while, or is back. */
  readonly onChange: (tag: string, text: string) => void;
};

/** How the line is doing, for the view Check. */
export type OutletHealth = {
  readonly connected: boolean;
  readonly trouble: string | null;
  /** Lines of the record that wait; null while the log cannot be read. */
  readonly waiting: number | null;
  readonly acknowledgedAtSeconds: number | null;
};

/** An outage is worth a line in the record after this. */
const OUTAGE_SECONDS = 60;
/** The last words get this long: with the goodbye less than a service thread is given to stop. */
const STOP_SECONDS = 1.5;

const RETAINED = ["about", "state", "alarms", "record/recent", "availability"] as const satisfies readonly TopicName[];
type Retained = (typeof RETAINED)[number];

export class MqttOutlet {
  readonly #options: OutletOptions;
  readonly #slots: Readonly<Record<Retained, Slot>>;
  readonly #lane: RecordLane;
  readonly #bookmark: Bookmark;
  readonly #link: BrokerLink;
  #stateAt = Number.NEGATIVE_INFINITY;
  #alarms = "";
  #acknowledgedAt: number | null = null;
  #downSince: number | null;
  #outageTold = false;

  constructor(options: OutletOptions) {
    this.#options = options;
    const { settings, about, clock, record } = options;
    const { prefix, id, page, everySeconds, expirySeconds } = settings;
    const slot = (name: Retained): Slot =>
      new Slot({
        topic: topicOf(prefix, id, name),
        expirySeconds: TOPICS[name].expires ? expirySeconds : null,
        nowSeconds: () => clock.monotonicSeconds(),
        onAcknowledged: () => this.#acknowledged(),
        onRefused: (error) => this.#link.fail(error),
      });
    this.#slots = Object.fromEntries(RETAINED.map((name) => [name, slot(name)])) as Record<Retained, Slot>;
    this.#bookmark = new Bookmark(settings.bookmarkFile);
    this.#lane = new RecordLane({
      source: record,
      bookmark: this.#bookmark,
      topic: topicOf(prefix, id, "record"),
      onRecent: (lines) => this.#slots["record/recent"].put(JSON.stringify({ lines } satisfies Recent)),
      onRefused: (error) => this.#link.fail(error),
    });
    const told: FeedpointMessage = { about, page, every_seconds: everySeconds, expiry_seconds: expirySeconds };
    this.#slots.about.put(JSON.stringify(told));
    this.#slots.availability.put(JSON.stringify({ state: "online" }));
    this.#downSince = clock.monotonicSeconds();
    this.#link = new BrokerLink({
      settings: settings.broker,
      clock,
      will: {
        topic: topicOf(prefix, id, "availability"),
        text: JSON.stringify({ state: "lost" }),
        retain: true,
        expirySeconds: null,
      },
      onOpen: (session) => this.#opened(session),
      onClose: () => this.#closed(),
    });
  }

  /** One completed cycle, after the log took its entries; null where there is no newer frame. */
  take(frame: Frame | null): void {
    const now = this.#options.clock.monotonicSeconds();
    if (frame !== null) this.#show(frame, now);
    this.#lane.look();
    this.#tellOutage(now);
  }

  health(): OutletHealth {
    return {
      connected: this.#link.connected,
      trouble:
        this.#link.trouble ?? (this.#bookmark.trouble === null ? null : "its place in the record cannot be kept"),
      waiting: this.#lane.waiting,
      acknowledgedAtSeconds: this.#acknowledgedAt,
    };
  }

  /** Says that it stops, so that nobody takes it for a failure. */
  async close(): Promise<void> {
    if (this.#link.connected) {
      const taken = new Promise<void>((resolve) => {
        this.#slots.availability.put(JSON.stringify({ state: "stopped" }), resolve);
      });
      const late = new Promise<void>((resolve) => {
        this.#options.clock.after(STOP_SECONDS, resolve);
      });
      this.#lane.look();
      await Promise.race([Promise.all([taken, this.#lane.settled()]), late]);
    }
    this.#lane.close();
    await this.#link.close();
  }

  #show(frame: Frame, now: number): void {
    const alarms = JSON.stringify(frame.alarms.map(({ tag, state, priority }) => [tag, state, priority]));
    if (alarms !== this.#alarms) {
      this.#alarms = alarms;
      const { wall_seconds, wall_trusted } = frame;
      this.#slots.alarms.put(JSON.stringify({ wall_seconds, wall_trusted, alarms: frame.alarms }));
    }
    // A beat comes a little early or late; half of one is no reason to leave it out.
    if (now - this.#stateAt > this.#options.settings.everySeconds - 0.5) {
      this.#stateAt = now;
      this.#slots.state.put(JSON.stringify(frame));
    }
  }

  #opened(session: Session): void {
    for (const name of RETAINED) this.#slots[name].open(session);
    this.#lane.open(session);
    this.#downSince = null;
    if (this.#outageTold) this.#options.onChange("broker_back", "the MQTT broker is in reach again");
    this.#outageTold = false;
  }

  #closed(): void {
    for (const name of RETAINED) this.#slots[name].close();
    this.#lane.close();
    this.#downSince ??= this.#options.clock.monotonicSeconds();
  }

  #acknowledged(): void {
    this.#acknowledgedAt = this.#options.clock.monotonicSeconds();
  }

  #tellOutage(now: number): void {
    if (this.#downSince === null || this.#outageTold || now - this.#downSince < OUTAGE_SECONDS) return;
    this.#outageTold = true;
    this.#options.onChange("broker_lost", `the MQTT broker is out of reach: ${this.#link.trouble ?? "no answer yet"}`);
  }
}

type Recent = { readonly lines: readonly LoggedLine[] };
