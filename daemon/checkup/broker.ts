// Whether the MQTT broker takes this feedpoint: one connection under a name of its own and one message that says nothing.
// It leaves nothing behind at the broker.

import type { Clock } from "../../hardware/ports.ts";
import type { OutletSettings } from "../outputs/mqtt/outlet.ts";
import { type Finding, wellDone } from "./finding.ts";

/** The broker gets this long, s. */
const DEADLINE_SECONDS = 15;

/** No finding where no broker is configured. */
export async function checkBroker(settings: OutletSettings | null, clock: Clock): Promise<readonly Finding[]> {
  if (settings === null) return [];
  const { BrokerLink } = await import("../outputs/mqtt/broker-link.ts");
  const { topicOf } = await import("../outputs/mqtt/topics.ts");
  const { troubleOf } = await import("../outputs/mqtt/trouble.ts");
  const { broker, prefix, id } = settings;
  const trouble = await new Promise<string | null>((resolve) => {
    const cancel = clock.after(DEADLINE_SECONDS, () => settle(`no answer within ${DEADLINE_SECONDS} s`));
    const message = { topic: topicOf(prefix, id, "check"), text: "{}", retain: false, expirySeconds: null };
    const link = new BrokerLink({
      settings: { ...broker, clientId: `${broker.clientId}-check` },
      clock,
      will: null,
      onOpen: (session) => {
        session.publish(message).then(
          () => settle(null),
          (error: unknown) => settle(troubleOf(error)),
        );
      },
      onClose: (words) => settle(words),
    });
    const settle = (words: string | null): void => {
      cancel();
      void link.close().then(() => resolve(words));
    };
  });
  const place = `${broker.tls ? "mqtts" : "mqtt"}://${broker.host}:${broker.port}`;
  if (trouble === null) {
    const guarded = broker.tls ? "over TLS" : "without TLS";
    return [wellDone("mqtt", place, `takes ${prefix}/${id}/… with MQTT 5 ${guarded}`)];
  }
  const remedy = "Compare broker, user, password_file and ca_file in [mqtt] with what the broker's operator says.";
  return [{ what: "mqtt", place, verdict: "bad", says: trouble, remedy }];
}
