// Contrast in every look, read from the style sheet itself, against WCAG 2.2 success criteria 1.4.3 (text, 4.5:1) and
// 1.4.11 (graphics that carry meaning, 3:1).

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { contrastRatio } from "../support/colour.ts";

const css = readFileSync(new URL("../../web/style/looks.css", import.meta.url), "utf8");

/** The `#rrggbb` and `#rgb` custom properties of the first rule with this selector. */
function properties(selector: string): ReadonlyMap<string, string> {
  const start = css.indexOf(`${selector} {`);
  if (start < 0) throw new Error(`no rule ${selector}`);
  const rule = css.slice(start, css.indexOf("}", start));
  const found = [...rule.matchAll(/--([a-z-]+):\s*#([0-9a-f]{3}|[0-9a-f]{6});/gi)].map(([, name, hex]) => {
    const long = hex?.length === 3 ? [...hex].map((digit) => digit + digit).join("") : hex;
    return [name ?? "", `#${long}`] as const;
  });
  return new Map(found);
}

const light = properties(":root");
const looks = {
  light,
  dark: new Map([...light, ...properties(':root[data-look="dark"]')]),
  night: new Map([...light, ...properties(':root[data-look="night"]')]),
};

const TEXT = [
  "ink",
  "ink-soft",
  "ink-old",
  "ember",
  "calm",
  "alert",
  "simulated",
  "chart-core",
  "chart-outlet",
  "chart-inlet",
  "chart-limit",
];
const GRAPHICS = ["line", "chart-keyed", "ember", "alert", "calm"];

describe.each(Object.entries(looks))("contrast in the %s look", (_look, colours) => {
  const colour = (name: string): string => {
    const hex = colours.get(name);
    if (hex === undefined) throw new Error(`no colour --${name}`);
    return hex;
  };

  it.each(TEXT)("%s can be read on the paper", (name) => {
    expect(contrastRatio(colour(name), colour("paper"))).toBeGreaterThanOrEqual(4.5);
  });

  it.each(["ink", "ink-soft", "alert"])("%s can be read on the ground of a waiting alarm", (name) => {
    expect(contrastRatio(colour(name), colour("alert-ground"))).toBeGreaterThanOrEqual(4.5);
  });

  it.each(["ink", "ink-soft"])("%s can be read inside the drawing", (name) => {
    expect(contrastRatio(colour(name), colour("interior"))).toBeGreaterThanOrEqual(4.5);
  });

  it.each(GRAPHICS)("%s is seen on the paper as a shape", (name) => {
    expect(contrastRatio(colour(name), colour("paper"))).toBeGreaterThanOrEqual(3);
  });
});
