// Who may talk to the page's server: a browser of another site must not, whatever name it was led to this machine by.
// Pure questions about headers and addresses; operators' logins are not its business.

import { isIP } from "node:net";

const LOOPBACK_NAMES: ReadonlySet<string> = new Set(["localhost", "127.0.0.1", "::1"]);

/** `feedpoint.local:8373` → `feedpoint.local`, `[::1]:8373` → `::1`; null when it is no host at all. */
function hostName(host: string): string | null {
  const match = /^(?:\[([0-9a-fA-F:.]+)\]|([^:[\]]+))(?::\d{1,5})?$/.exec(host);
  return match?.[1] ?? match?.[2]?.toLowerCase() ?? null;
}

/** True for 127.0.0.0/8 and ::1, also when written as an IPv4-mapped address. */
export function isLoopbackAddress(address: string | undefined): boolean {
  return address !== undefined && /^(::1|(::ffff:)?127(\.\d{1,3}){3})$/.test(address);
}

/** Does this name mean this very machine, whoever asks? */
export const isLoopbackName = (name: string): boolean => LOOPBACK_NAMES.has(name) || isLoopbackAddress(name);

export type Guard = {
  /**
   * Is this Host header a name of this machine? An address or a loopback name always is; another name only when it is listed,
   * because a page of a stranger can make its own name point here (DNS rebinding).
   */
  readonly knowsHost: (host: string | undefined) => boolean;
  /** A browser names the page it comes from; programs without a browser send no Origin and pass. */
  readonly knowsOrigin: (origin: string | undefined, host: string | undefined) => boolean;
};

/** `names` are the further names under which this machine is reached, e.g. `feedpoint.local`. */
export function guardFor(names: readonly string[]): Guard {
  const known = new Set([...LOOPBACK_NAMES, ...names.map((name) => name.toLowerCase())]);
  const knowsHost = (host: string | undefined): boolean => {
    const name = host === undefined ? null : hostName(host);
    return name !== null && (known.has(name) || isIP(name) !== 0);
  };
  const knowsOrigin = (origin: string | undefined, host: string | undefined): boolean => {
    if (origin === undefined) return true;
    return URL.canParse(origin) && host !== undefined && new URL(origin).host === host.toLowerCase();
  };
  return { knowsHost, knowsOrigin };
}
