// Whose word counts about where a request comes from, over real connections from several addresses of this machine.

import { once } from "node:events";
import { createServer, type IncomingMessage, request, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Peer, peerReader, proxiesIn } from "../../daemon/outputs/peer.ts";

/** One proxy on this machine, and a net of them. */
const isProxy = proxiesIn([
  { address: "127.0.0.8", prefix: 32 },
  { address: "127.0.1.0", prefix: 24 },
  { address: "2001:db8::", prefix: 64 },
]);

let server: Server;
beforeAll(async () => {
  const peerOf = peerReader(isProxy);
  server = createServer((asked, response) => response.end(JSON.stringify(peerOf(asked)))).listen(0, "127.0.0.1");
  await once(server, "listening");
});
afterAll(() => {
  server.close();
});

async function seen(from: string, headers: Readonly<Record<string, string | string[]>> = {}): Promise<Peer> {
  const { port } = server.address() as AddressInfo;
  const options = { host: "127.0.0.1", port, localAddress: from, agent: false };
  const asked = request({ ...options, headers: { Host: "feedpoint.local", ...headers } });
  asked.end();
  const [response] = (await once(asked, "response", { signal: AbortSignal.timeout(10_000) })) as [IncomingMessage];
  let text = "";
  for await (const chunk of response) text += String(chunk);
  return JSON.parse(text) as Peer;
}

describe("who is no proxy of ours", () => {
  it("is where its socket is, and this machine when it is on it", async () => {
    expect(await seen("127.0.0.2")).toEqual({
      address: "127.0.0.2",
      host: "feedpoint.local",
      secure: false,
      local: true,
      near: true,
    });
  });

  it.each([
    ["X-Forwarded-For", "10.0.0.1"],
    ["X-Forwarded-Host", "elsewhere.example"],
    ["X-Forwarded-Proto", "https"],
    ["X-Real-IP", "10.0.0.1"],
    ["Forwarded", "for=10.0.0.1;proto=https;host=elsewhere.example"],
    ["Via", "1.1 gate"],
  ])("is not believed in %s, which shows that somebody stands in between", async (name, value) => {
    expect(await seen("127.0.0.2", { [name]: value })).toEqual({
      address: "127.0.0.2",
      host: "feedpoint.local",
      secure: false,
      local: false,
      near: false,
    });
  });
});

describe("a proxy of ours", () => {
  const from = (chain: string | string[]): Promise<string> =>
    seen("127.0.0.8", { "X-Forwarded-For": chain }).then(({ address }) => address);

  it("says who asked, under which name, and whether that was encrypted", async () => {
    const told = { "X-Forwarded-For": "10.0.0.1", "X-Forwarded-Host": "gate.local:8443", "X-Forwarded-Proto": "https" };
    expect(await seen("127.0.0.8", told)).toEqual({
      address: "10.0.0.1",
      host: "gate.local:8443",
      secure: true,
      local: false,
      near: false,
    });
  });

  it.each<[string, string | string[], string]>([
    ["what a visitor put before it", "192.0.2.1, 10.0.0.1", "10.0.0.1"],
    ["what a visitor put before it in a header of its own", ["192.0.2.1", "10.0.0.1"], "10.0.0.1"],
    ["another proxy of ours on the way", "192.0.2.1, 10.0.0.1, 127.0.1.9", "10.0.0.1"],
    ["one of IPv6", "2001:db8:1::7, 2001:db8::1", "2001:db8:1::7"],
    ["an IPv4 address as IPv6 writes it", "::ffff:10.0.0.1", "10.0.0.1"],
    ["nothing but proxies", "127.0.1.3, 127.0.1.9", "127.0.1.3"],
    ["no address at all", "unknown", "127.0.0.8"],
    ["something that is none behind a proxy", "nonsense, 127.0.1.9", "127.0.1.9"],
  ])("is read from the right: %s", async (_what, chain, address) => {
    expect(await from(chain)).toBe(address);
  });

  it("that leaves no trace is near, since its machine may ask for itself, but not the machine that operates without a password", async () => {
    expect(await seen("127.0.0.8")).toMatchObject({ address: "127.0.0.8", secure: false, local: false, near: true });
  });

  it("is known by its net, and under both spellings of IPv4", () => {
    const asked = ["127.0.1.200", "::ffff:127.0.0.8", "2001:db8::ffff", "127.0.2.1", "2001:db8:1::1", "", "gate.local"];
    expect(asked.map(isProxy)).toEqual([true, true, true, false, false, false, false]);
  });
});
