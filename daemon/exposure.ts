// What is said at the start of a page that a network can reach: who may do what there, and who can listen. It forbids nothing.

import { readRegister } from "./access/register.ts";
import { isLoopbackName } from "./outputs/guard.ts";

export type Exposure = {
  readonly host: string;
  readonly encrypted: boolean;
  /** File of the register of passwords. */
  readonly register: string;
};

/** One line for each thing to know; none where the page listens on this machine only. */
export function exposureWarnings({ host, encrypted, register }: Exposure): readonly string[] {
  if (isLoopbackName(host)) return [];
  const { operator, viewer } = passwordsIn(register);
  return [
    ...(operator
      ? []
      : [`listen: on ${host} without an operator password, so from the network it only shows. emberwire set-password`]),
    ...(viewer
      ? []
      : [`listen: whoever reaches ${host} may look. emberwire set-password --viewer asks them who they are`]),
    ...(encrypted
      ? []
      : [
          `listen: on ${host} without TLS, so others on the network can read passwords. listen.certificate and listen.key`,
        ]),
  ];
}

/** The same of the overview, which asks nobody for a password. */
export function overviewWarnings({ host, encrypted }: Omit<Exposure, "register">): readonly string[] {
  if (isLoopbackName(host)) return [];
  return [
    `overview.listen: whoever reaches ${host} may look at all feedpoints; there is no password here`,
    ...(encrypted ? [] : [`overview.listen: on ${host} without TLS, so others on the network can read along`]),
  ];
}

/** A register that cannot be read lets nobody in, which the gate tells by itself. */
function passwordsIn(file: string): { readonly operator: boolean; readonly viewer: boolean } {
  try {
    const { operator, viewer } = readRegister(file);
    return { operator: operator !== null, viewer: viewer !== null };
  } catch {
    return { operator: true, viewer: true };
  }
}
