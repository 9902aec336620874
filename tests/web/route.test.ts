// Which view an address names, and that a jump within the page costs nobody their view.

import { describe, expect, it } from "vitest";
import { followHash, pathOf } from "../../web/route.ts";

describe("the address", () => {
  it.each([
    ["", "/"],
    ["#", "/"],
    ["#/", "/"],
    ["#/alarms", "/alarms"],
    ["#/no-such-view", "/no-such-view"],
    ["#main", null],
    ["#season", null],
  ])("%j names %j", (hash, path) => {
    expect(pathOf(hash)).toBe(path);
  });
});

/** As much of a window as the route looks at. */
class Address extends EventTarget {
  readonly location = { hash: "" };
  readonly history = {
    replaceState: (_state: unknown, _title: string, hash: string) => {
      this.location.hash = hash;
    },
  };
  constructor(hash: string) {
    super();
    this.location.hash = hash;
  }
  go(hash: string): void {
    this.location.hash = hash;
    this.dispatchEvent(new Event("hashchange"));
  }
}

describe("the view that is open", () => {
  it("begins with the address, follows it, and stays over a jump within the page", () => {
    const address = new Address("#/season");
    const path = followHash(address as unknown as Window);
    expect(path.value).toBe("/season");
    address.go("#/check");
    expect(path.value).toBe("/check");
    address.go("#main");
    expect([path.value, address.location.hash]).toEqual(["/check", "#/check"]);
    address.go("");
    expect(path.value).toBe("/");
  });

  it("begins with Now for an address that names none", () => {
    expect(followHash(new Address("#main") as unknown as Window).value).toBe("/");
  });
});
