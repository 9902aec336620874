// How often a password may be tried, with time as an argument; bounds held against drawn sequences of attempts.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { AttemptLimiter } from "../../daemon/access/limiter.ts";
import { Crowded, Turnstile } from "../../daemon/access/turnstile.ts";

const spend = (limiter: AttemptLimiter, address: string, tries: number, at: number, alone = false): number =>
  Array.from({ length: tries }, () => limiter.take(address, at, alone)).filter((wait) => wait === 0).length;

describe("tries of one address", () => {
  it("are five at once, then one every half minute", () => {
    const limiter = new AttemptLimiter();
    expect(spend(limiter, "10.0.0.1", 50, 0)).toBe(5);
    expect(limiter.take("10.0.0.1", 0)).toBe(30);
    expect(limiter.take("10.0.0.1", 29)).toBe(1);
    expect(limiter.take("10.0.0.1", 30)).toBe(0);
    expect(spend(limiter, "10.0.0.1", 50, 30)).toBe(0);
  });

  it("come back when the password was right", () => {
    const limiter = new AttemptLimiter();
    for (let login = 0; login < 100; login += 1) {
      expect(limiter.take("10.0.0.1", 0)).toBe(0);
      limiter.giveBack("10.0.0.1");
    }
  });

  it("are counted together for a /64 of IPv6, however it is written", () => {
    const limiter = new AttemptLimiter();
    const spellings = ["2001:db8::1", "2001:db8::2", "2001:db8:0:0:ffff::3", "2001:db8:0:0:1:2:3:4", "2001:db8:0:0::"];
    for (const address of spellings) expect(limiter.take(address, 0)).toBe(0);
    expect(limiter.take("2001:db8::6", 0)).toBeGreaterThan(0);
    expect(limiter.take("2001:db8:0:1::1", 0)).toBe(0);
    expect(limiter.take("::ffff:10.0.0.1", 0)).toBe(0);
  });
});

describe("tries of all addresses", () => {
  it("are bounded however many addresses there are, and so is the table", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(5000), fc.nat(3)), { maxLength: 2000 }), (tries) => {
        const limiter = new AttemptLimiter();
        let [now, taken] = [0, 0];
        for (const [host, pause] of tries) {
          now += pause;
          if (limiter.take(`10.0.${host >> 8}.${host & 255}`, now) === 0) taken += 1;
        }
        expect(taken).toBeLessThanOrEqual(20 + now / 10);
        expect(limiter.size).toBeLessThanOrEqual(512);
      }),
      { numRuns: 50, seed: 8 },
    );
  });

  it("never lock out who sits at the machine", () => {
    const limiter = new AttemptLimiter();
    for (let host = 0; host < 100; host += 1) limiter.take(`10.0.0.${host}`, 0);
    expect(limiter.take("10.0.1.1", 0)).toBeGreaterThan(0);
    expect(limiter.take("127.0.0.1", 0, true)).toBe(0);
  });
});

describe("the turnstile", () => {
  it("lets one through at a time, lets a few wait, and turns the others away", async () => {
    const turnstile = new Turnstile(2);
    const opened: (() => void)[] = [];
    let [within, most] = [0, 0];
    const work = async (): Promise<void> => {
      within += 1;
      most = Math.max(most, within);
      await new Promise<void>((resolve) => opened.push(resolve));
      within -= 1;
    };
    const passing = Array.from({ length: 6 }, () => turnstile.pass(work));
    const outcomes = Promise.allSettled(passing);
    let through = 0;
    while (through < 3) {
      const open = opened.shift();
      if (open === undefined) await Promise.resolve();
      else {
        open();
        through += 1;
      }
    }
    const refused = (await outcomes).filter((outcome) => outcome.status === "rejected");
    expect(refused).toHaveLength(3);
    expect(refused.every(({ reason }) => reason instanceof Crowded)).toBe(true);
    expect(most).toBe(1);
  });

  it("goes on after work that failed", async () => {
    const turnstile = new Turnstile(1);
    await expect(turnstile.pass(() => Promise.reject(new Error("spoilt")))).rejects.toThrow("spoilt");
    expect(await turnstile.pass(() => Promise.resolve(1))).toBe(1);
  });
});
