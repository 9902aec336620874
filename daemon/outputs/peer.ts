// Where a request comes from: the socket's word, or the word of a reverse proxy that the config trusts. Headers of anybody else
// are not believed, and make a request from this machine one that is not: somebody stands in between.

import type { IncomingMessage } from "node:http";
import { BlockList, isIP } from "node:net";
import type { TLSSocket } from "node:tls";
import { isLoopbackAddress } from "./guard.ts";

export type Peer = {
  readonly address: string;
  /** The name that the browser asked for. */
  readonly host: string | undefined;
  /** Encrypted as far as the daemon or its proxy. */
  readonly secure: boolean;
  /** From this machine itself, with no proxy in between. */
  readonly local: boolean;
  /** The same, where a trusted proxy that left no trace is not ruled out: both may be on this machine. */
  readonly near: boolean;
};

/** Headers that a proxy leaves. */
const TRACES = ["x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip", "forwarded", "via"] as const;

const plain = (address: string): string => /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1] ?? address;

/** Addresses that begin with the same `prefix` bits. */
export type Network = { readonly address: string; readonly prefix: number };

/** Tells whether an address is that of a trusted reverse proxy. */
export type IsProxy = (address: string) => boolean;

/** Says of an address, as Node writes it, whether it is one of the trusted. */
export function proxiesIn(trusted: readonly Network[]): IsProxy {
  const list = new BlockList();
  for (const { address, prefix } of trusted) list.addSubnet(address, prefix, isIP(address) === 6 ? "ipv6" : "ipv4");
  return (given) => {
    const address = plain(given);
    return isIP(address) !== 0 && list.check(address, isIP(address) === 6 ? "ipv6" : "ipv4");
  };
}

/** For the record, about an address that holds all connections that one may have. */
export const crowdWords = (address: string): string =>
  `${plain(address)} has all the connections that one address may have; a reverse proxy belongs in listen.trusted_proxies`;

/** Reads where requests come from. */
export function peerReader(isProxy: IsProxy): (request: IncomingMessage) => Peer {
  return (request) => {
    const { headers, socket } = request;
    const address = plain(socket.remoteAddress ?? "");
    const encrypted = (socket as Partial<TLSSocket>).encrypted === true;
    const near = isLoopbackAddress(address) && TRACES.every((name) => headers[name] === undefined);
    if (!isProxy(address)) return { address, host: headers.host, secure: encrypted, local: near, near };
    return {
      address: furthestTrusted(listed(headers["x-forwarded-for"]), isProxy) ?? address,
      host: listed(headers["x-forwarded-host"]).at(-1) ?? headers.host,
      secure: encrypted || listed(headers["x-forwarded-proto"]).at(-1) === "https",
      local: false,
      near,
    };
  };
}

/** From the right, the first that is no proxy of ours: what stands left of it, its sender may have invented. */
function furthestTrusted(chain: readonly string[], isProxy: IsProxy): string | null {
  let found: string | null = null;
  for (const hop of [...chain].reverse()) {
    const address = plain(hop);
    if (isIP(address) === 0) return found;
    found = address;
    if (!isProxy(address)) return found;
  }
  return found;
}

function listed(header: string | readonly string[] | undefined): readonly string[] {
  const text = typeof header === "string" ? header : (header?.join(",") ?? "");
  return text === "" ? [] : text.split(",").map((part) => part.trim());
}
