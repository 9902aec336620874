// What a plain station goes without: named in one answer, each with the few questions that it needs. It opens no line and connects
// to nobody.

import type * as z from "zod";
import { pinOf } from "../../hardware/wiring/pins.ts";
import { brokerOf } from "../config/mqtt.ts";
import { RequestError } from "../config/problem.ts";
import { mqtt } from "../config/schema/broker.ts";
import { rig } from "../config/schema/rig.ts";
import { ptt } from "../config/schema/wiring.ts";
import { type DraftKey, draftKey } from "./draft.ts";
import type { LinePath } from "./line-book.ts";
import { asked, askLine, type LineAsking } from "./lines.ts";
import { optional, row } from "./questions.ts";

/** The keys of one extra; none when it is not fitted after all. */
type Ask = (asking: LineAsking) => Promise<readonly DraftKey[]>;

type Extra = {
  readonly what: string;
  /** A table that must be there beside it. */
  readonly beside?: string;
  readonly ask: Ask;
};

/** One line, with what goes with it. */
function line(path: LinePath, text: string, comment: string, more: readonly DraftKey[] = []): Ask {
  const key = path[1] === "line" ? path[0] : path[1];
  return async ({ person, lines }) => {
    const answer = await askLine(person, lines, path, { key, text, pin: pinOf(key) });
    return answer === null ? [] : [lines.take(path, answer, comment), ...more];
  };
}

const ATTEMPTS = 3;

const [rigKeys, mqttKeys] = [rig.shape, mqtt.shape];

const EXTRAS: Readonly<Record<string, Extra>> = {
  fan_cut: {
    what: "a switch in the fan's supply, for a fan that locks itself out after a stall",
    ask: line(["fan_cut", "line"], "Line of the switch in the fan's supply", "high = cut", [
      draftKey("fan.power_cycle", "attempts", ATTEMPTS, "then it is left alone, with a line in the record"),
    ]),
  },
  pulse: {
    what: "a one-shot that releases both permit relays when the program stands still",
    beside: "relay",
    ask: line(["relay", "pulse"], "Line of the one-shot's pulse", "moves once a second while the program lives"),
  },
  ptt: {
    what: "the transmitter's PTT line, through an isolator",
    ask: async (asking) => {
      const keys = await line(
        ["ptt", "line"],
        "Line of the PTT isolator",
        "through an isolator, never directly",
      )(asking);
      return keys.length === 0 ? keys : [...keys, await asked(KEYED, asking.person)];
    },
  },
  buzzer: {
    what: "a sounder beside the operator, through a transistor",
    ask: line(["buzzer", "line"], "Line of the buzzer", "high = it sounds"),
  },
  rig: {
    what: "the rig's band, mode and keying over Hamlib's rigctld",
    ask: async ({ person }) => [await asked(RIG.host, person), await asked(RIG.port, person)],
  },
  mqtt: { what: "an MQTT 5 broker that is told what the feedpoint knows", ask: askBroker },
};

const KEYED = row({
  ...{ table: "ptt", name: "keyed", key: "ptt_keyed", schema: ptt.shape.keyed, fallback: "low" },
  text: "Level of that line while it transmits, low or high",
  comment: "while it transmits",
});

const RIG = {
  host: row({
    ...{ table: "rig", name: "host", key: "rig_host", schema: rigKeys.host, fallback: "127.0.0.1" },
    text: "Host of rigctld (127.0.0.1 = this board, or a tunnel that ends here)",
    comment: "whoever reaches it can key the transmitter: keep it on loopback",
  }),
  port: row({
    ...{ table: "rig", name: "port", key: "rig_port", schema: rigKeys.port, fallback: "4532" },
    text: "Its port",
    comment: "of rigctld",
  }),
} as const;

const BROKER = row({
  ...{ table: "mqtt", name: "broker", key: "mqtt_broker", schema: mqttKeys.broker, fallback: "mqtt://127.0.0.1:1883" },
  text: "Address of the broker: mqtts://HOST, or mqtt:// on this board only",
  comment: "mqtt:// to another machine only with unencrypted = true",
});

const USER = optional(
  row({
    ...{ table: "mqtt", name: "user", key: "mqtt_user", schema: mqttKeys.user.unwrap(), fallback: "" },
    text: "User that the broker knows (empty = none)",
    comment: "with the next key",
  }),
);

const PASSWORD = row({
  ...{ table: "mqtt", name: "password_file", key: "mqtt_password_file", schema: mqttKeys.password_file.unwrap() },
  fallback: "",
  text: "File with the password in its first line, made by you in another window (empty = no user after all)",
  comment: "readable by root and the group emberwire only",
});

/** What the daemon would say against a broker. */
function brokerFault(given: z.input<typeof mqtt>): { readonly expected: string; readonly got: string } | null {
  try {
    brokerOf(() => "", "mqtt", mqtt.parse(given), "init");
    return null;
  } catch (error) {
    if (error instanceof RequestError) return error.problems[0] ?? null;
    throw error;
  }
}

/** A user and a password stand in the file both or neither. */
async function askBroker({ person, say }: LineAsking): Promise<readonly DraftKey[]> {
  const wrongBroker = (broker: string) => BROKER.wrong(broker) ?? brokerFault({ broker });
  const broker = await person.ask({ ...BROKER, wrong: wrongBroker });
  const keys = [draftKey(BROKER.table, BROKER.name, broker, BROKER.comment)];
  const user = await person.ask(USER);
  if (user === "") return keys;
  const wrongFile = (file: string) => (file === "" ? null : brokerFault({ broker, user, password_file: file }));
  const file = await person.ask({ ...PASSWORD, wrong: wrongFile });
  if (file === "") {
    say("  No user then: add user and password_file to [mqtt] once the file is there.\n");
    return keys;
  }
  return [
    ...keys,
    draftKey(USER.table, USER.name, user, USER.comment),
    draftKey(PASSWORD.table, PASSWORD.name, file, PASSWORD.comment),
  ];
}

/** Asks what else is fitted, and about each. @throws what the person throws */
export async function askExtras(asking: LineAsking, tables: ReadonlySet<string>): Promise<readonly DraftKey[]> {
  const { person, say } = asking;
  const offered = Object.entries(EXTRAS).filter(([, { beside }]) => beside === undefined || tables.has(beside));
  const width = Math.max(...offered.map(([name]) => name.length));
  if (person.present) {
    say("\nWhat else there may be, none of it needed:\n");
    for (const [name, { what }] of offered) say(`  ${name.padEnd(width)}  ${what}\n`);
  }
  const names = offered.map(([name]) => name);
  const answer = await person.ask({
    key: "extras",
    text: "Which of these are fitted? Names with spaces between",
    fallback: "none",
    wrong: (text) => {
      const strange = namesIn(text).find((name) => !names.includes(name));
      return strange === undefined ? null : `none, or names out of ${names.join(", ")}`;
    },
  });
  const chosen = new Set(namesIn(answer));
  const keys: DraftKey[] = [];
  for (const [name, { ask }] of offered) if (chosen.has(name)) keys.push(...(await ask(asking)));
  return keys;
}

function namesIn(text: string): readonly string[] {
  const words = text.split(/[\s,]+/).filter((word) => word !== "");
  return words.length === 1 && words[0] === "none" ? [] : words;
}
