// Places shared by many: bounded for all and for each, whatever the order of coming and going.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Places } from "../../daemon/access/places.ts";

describe("places", () => {
  it("are never more than there are, nor more for one address than its part, and all come back", () => {
    const coming = fc.record({ host: fc.nat(5), leave: fc.boolean() });
    fc.assert(
      fc.property(fc.array(coming, { maxLength: 300 }), (crowd) => {
        const places = new Places(10, 4);
        const held = new Map<string, (() => void)[]>();
        for (const { host, leave } of crowd) {
          const address = `10.0.0.${host}`;
          const own = held.get(address) ?? [];
          held.set(address, own);
          if (leave) own.pop()?.();
          else if (places.isFree(address)) own.push(places.take(address));
          const all = [...held.values()].flat().length;
          expect(places.taken).toBe(all);
          expect(all).toBeLessThanOrEqual(10);
          expect(own.length).toBeLessThanOrEqual(4);
          expect(places.isFree(address)).toBe(all < 10 && own.length < 4);
        }
        for (const leave of [...held.values()].flat()) leave();
        expect(places.taken).toBe(0);
      }),
      { numRuns: 100, seed: 8 },
    );
  });

  it("are given back once, and counted together for a /64 of IPv6 and for both spellings of IPv4", () => {
    const places = new Places(10, 2);
    const leave = places.take("2001:db8::1");
    places.take("2001:db8:0:0:ffff::3");
    places.take("::ffff:10.0.0.1");
    places.take("10.0.0.1");
    expect(["2001:db8::9", "10.0.0.1", "2001:db8:0:1::1"].map((address) => places.isFree(address))).toEqual([
      false,
      false,
      true,
    ]);
    leave();
    leave();
    expect(places.taken).toBe(3);
    expect(places.isFree("2001:db8::9")).toBe(true);
  });

  it("refuse to be none", () => {
    expect(() => new Places(0, 1)).toThrow("places");
    expect(() => new Places(1, Number.NaN)).toThrow("places");
  });
});
