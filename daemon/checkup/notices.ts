// Whether anybody would be told: each way out by name, and on request a test notice over it, with the far side's own words.
// It goes past planner and rate limit: one letter, once.

import type { Clock } from "../../hardware/ports.ts";
import type { DispatchSettings } from "../outputs/notices/dispatch.ts";
import type { Channel } from "../outputs/notices/notice.ts";
import { type Finding, wellDone } from "./finding.ts";

/** The far side gets this long, s. */
const DEADLINE_SECONDS = 30;

export type NoticesCheckup = {
  /** Null where nobody is to be told. */
  readonly settings: DispatchSettings | null;
  readonly feedpoint: string;
  readonly simulated: boolean;
  readonly send: boolean;
  readonly clock: Clock;
};

/** One finding for each way out; none where nobody is to be told and no test was asked for. */
export async function checkNotices({ settings, ...options }: NoticesCheckup): Promise<readonly Finding[]> {
  if (settings === null) {
    if (!options.send) return [];
    const remedy = "Add a table [notices.email] or [notices.webhook] to the config.";
    return [{ what: "notices", place: "config", verdict: "bad", says: "none are configured", remedy }];
  }
  const { channelsOf } = await import("../outputs/notices/dispatch.ts");
  return Promise.all(channelsOf(settings).map((channel) => checkChannel(channel, options)));
}

async function checkChannel(channel: Channel, options: Omit<NoticesCheckup, "settings">): Promise<Finding> {
  const { send, feedpoint, simulated, clock } = options;
  if (!send) return wellDone("notices", channel.name, "configured; --send-notice sends a test");
  const { testNotice } = await import("../outputs/notices/dispatch.ts");
  const deadline = new AbortController();
  const cancel = clock.after(DEADLINE_SECONDS, () =>
    deadline.abort(new Error(`no answer within ${DEADLINE_SECONDS} s`)),
  );
  try {
    await channel.deliver({ feedpoint, simulated, notices: [testNotice(clock)], replaced: 0 }, deadline.signal);
    return wellDone("notices", channel.name, "the far side took a test notice");
  } catch (error) {
    const says = (error instanceof Error ? error.message : String(error)).replace(/\s*\n\s*/g, " ").slice(0, 300);
    const remedy = "Compare host, port, user and the secret's file with what the far side's operator says.";
    return { what: "notices", place: channel.name, verdict: "bad", says, remedy };
  } finally {
    cancel();
  }
}
