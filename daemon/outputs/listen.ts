// Puts a server on its address, or says in one line what stands in the way. It knows addresses, not pages.

import type { Server } from "node:http";
import { Server as EncryptedServer } from "node:https";
import type { AddressInfo } from "node:net";

export type ListenAddress = { readonly host: string; readonly port: number };

/** What an operator has to change; the fields are those of a problem line. */
export class ListenRefused extends Error {
  readonly expected: string;
  readonly got: string;

  constructor(expected: string, got: string) {
    super(`expected ${expected}, got ${got}`);
    this.name = "ListenRefused";
    this.expected = expected;
    this.got = got;
  }
}

const REFUSALS: Readonly<Record<string, readonly [expected: string, got: string]>> = {
  EADDRINUSE: ["a free port (is emberwire running already? else choose one with --listen)", "a port in use"],
  EACCES: ["a port this user may open (1024 or above)", "a port reserved for the system"],
  EADDRNOTAVAIL: ["an address of this machine", "an address of another machine"],
  ENOTFOUND: ["a host name that can be found", "an unknown host name"],
};

/**
 * Listens and resolves with the page's address.
 * @throws ListenRefused when the operator has to choose another address
 */
export function listen(server: Server, { host, port }: ListenAddress): Promise<string> {
  return new Promise((resolve, reject) => {
    server.once("error", (error: NodeJS.ErrnoException) => {
      const refusal = REFUSALS[error.code ?? ""];
      reject(refusal === undefined ? error : new ListenRefused(refusal[0], `${refusal[1]}: ${host}:${port}`));
    });
    server.listen({ host, port, backlog: 64 }, () => {
      const scheme = server instanceof EncryptedServer ? "https" : "http";
      resolve(pageAddress(scheme, host, server.address() as AddressInfo));
    });
  });
}

function pageAddress(scheme: string, host: string, { port }: AddressInfo): string {
  const shown = host === "0.0.0.0" || host === "::" ? "127.0.0.1" : host;
  return `${scheme}://${shown.includes(":") ? `[${shown}]` : shown}:${port}/`;
}
