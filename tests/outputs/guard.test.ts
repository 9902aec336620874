// Who may talk to the page's server: names, addresses and origins as browsers send them (RFC 9110 Host, RFC 6454 Origin).

import { describe, expect, it } from "vitest";
import { guardFor, isLoopbackAddress } from "../../daemon/outputs/guard.ts";

describe("the Host header", () => {
  const { knowsHost } = guardFor(["Feedpoint.local"]);
  it.each(["localhost:8373", "127.0.0.1", "[::1]:8373", "192.168.1.20:8373", "feedpoint.local", "FEEDPOINT.local:80"])(
    "%s is this machine",
    (host) => expect(knowsHost(host)).toBe(true),
  );
  it.each([
    "elsewhere.example",
    "localhost.elsewhere.example:8373",
    "",
    "a b",
    "[::1",
    "feedpoint.local:abc",
    undefined,
  ])("%s is not", (host) => expect(knowsHost(host)).toBe(false));
});

describe("the Origin header", () => {
  const { knowsOrigin } = guardFor([]);
  it("is the page's own, or there is none", () => {
    expect(knowsOrigin("http://127.0.0.1:8373", "127.0.0.1:8373")).toBe(true);
    expect(knowsOrigin(undefined, "127.0.0.1:8373")).toBe(true);
  });
  it("is refused for another host, another port, an opaque origin, or nonsense", () => {
    expect(knowsOrigin("http://elsewhere.example", "127.0.0.1:8373")).toBe(false);
    expect(knowsOrigin("http://127.0.0.1:9999", "127.0.0.1:8373")).toBe(false);
    expect(knowsOrigin("null", "127.0.0.1:8373")).toBe(false);
    expect(knowsOrigin("http://127.0.0.1:8373", undefined)).toBe(false);
  });
});

describe("a loopback address", () => {
  it.each(["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1"])("%s is one", (address) =>
    expect(isLoopbackAddress(address)).toBe(true),
  );
  it.each(["10.0.0.1", "::ffff:10.0.0.1", "1127.0.0.1", "127.0.0.1.example", undefined])("%s is none", (address) =>
    expect(isLoopbackAddress(address)).toBe(false),
  );
});
