// All channels of one feedpoint and the plan that feeds them: every completed cycle in, letters out. Loaded only where notices
// are configured. What is told is the planner's business, when and how often the outbox's.

import type { Clock } from "../../../hardware/ports.ts";
import type { Outlook } from "../../core/effects.ts";
import { type ChannelHealth, Courier } from "./courier.ts";
import { type EmailSettings, emailChannel } from "./email.ts";
import type { Channel, Notice, NoticePriority } from "./notice.ts";
import { beginPlanner, type PlannerState, planNotices } from "./planner.ts";
import { type WebhookSettings, webhookChannel } from "./webhook.ts";

/** Plain data; crosses to the service thread. */
export type DispatchSettings = {
  readonly lowestPriority: NoticePriority;
  readonly repeatSeconds: number;
  readonly lettersPerHour: number;
  readonly email: EmailSettings | null;
  readonly webhook: WebhookSettings | null;
};

export type DispatchOptions = {
  readonly settings: DispatchSettings;
  readonly feedpoint: string;
  readonly simulated: boolean;
  /** The machine's clock: people are told in real time, however fast a simulation runs. */
  readonly clock: Clock;
  /** For the record: a channel began to fail, or works again. */
  readonly onChange: (tag: string, text: string) => void;
};

/** What of a cycle is worth telling. */
export type CompletedCycle = {
  readonly outlook: Outlook;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
};

const FIRST_RETRY_SECONDS = 10;
const LONGEST_RETRY_SECONDS = 900;
const DEADLINE_SECONDS = 30;

/** The ways out that are configured. */
export function channelsOf({ email, webhook }: DispatchSettings): readonly Channel[] {
  return [...(email === null ? [] : [emailChannel(email)]), ...(webhook === null ? [] : [webhookChannel(webhook)])];
}

/** A notice that tells nothing but that it arrived. */
export function testNotice(clock: Clock): Notice {
  return {
    tag: "TEST",
    priority: "low",
    kind: "test",
    text: "this is a test of the notices",
    atSeconds: clock.monotonicSeconds(),
    wallSeconds: clock.wallSeconds(),
    wallTrusted: clock.wallIsTrusted(),
  };
}

export class Dispatch {
  readonly #options: DispatchOptions;
  readonly #couriers: readonly Courier[];
  #planner: PlannerState | null = null;

  constructor(options: DispatchOptions) {
    this.#options = options;
    const { settings, feedpoint, simulated, clock, onChange } = options;
    this.#couriers = channelsOf(settings).map(
      (channel) =>
        new Courier({
          channel,
          outbox: {
            lettersPerHour: settings.lettersPerHour,
            firstRetrySeconds: FIRST_RETRY_SECONDS,
            longestRetrySeconds: LONGEST_RETRY_SECONDS,
          },
          feedpoint,
          simulated,
          deadlineSeconds: DEADLINE_SECONDS,
          clock,
          onFailing: (error) => onChange("notices_fail", `${channel.name}: ${error}`),
          onDelivering: () => onChange("notices_delivered", `${channel.name}: works again`),
        }),
    );
  }

  /** One completed cycle. */
  take({ outlook, wallSeconds, wallTrusted }: CompletedCycle): void {
    const { settings, clock } = this.#options;
    const { stage, reasons, alarms } = outlook;
    const atSeconds = clock.monotonicSeconds();
    const situation = { atSeconds, wallSeconds, wallTrusted, stage, reasons, alarms };
    const planned = planNotices(settings, this.#planner ?? beginPlanner(stage), situation);
    this.#planner = planned.state;
    if (planned.notices.length > 0) this.#post(planned.notices);
  }

  /** Sends a test over every channel. */
  test(): void {
    this.#post([testNotice(this.#options.clock)]);
  }

  health(): readonly ChannelHealth[] {
    return this.#couriers.map((courier) => courier.health());
  }

  /** Gives up what is under way; the record keeps every alarm. */
  async close(): Promise<void> {
    await Promise.all(this.#couriers.map((courier) => courier.close()));
  }

  #post(notices: readonly Notice[]): void {
    for (const courier of this.#couriers) courier.post(notices);
  }
}
