// The writer against texts made by hand from OpenMetrics 1.0.0 (sections StateSet, Info, Histogram, Escaping, Canonical Numbers).

import { describe, expect, it } from "vitest";
import { exposition, type Family } from "../../../daemon/outputs/metrics/exposition.ts";

const FAMILIES: readonly Family[] = [
  { name: "a_celsius", kind: "gauge", unit: "celsius", help: 'Air, "in" \\ out', points: [[{}, 20.5]] },
  { name: "b_seconds", kind: "gauge", unit: "seconds", help: "Time", points: [[{}, Number.POSITIVE_INFINITY]] },
  { name: "gone_volts", kind: "gauge", unit: "volts", help: "Not there", points: [] },
  { name: "c", kind: "counter", help: "Count", points: [[{ sensor: 'x"y\\z\n' }, 3]] },
  { name: "d", kind: "stateset", help: "State", states: ["on", "off"], points: [[{ tag: "t" }, "off"]] },
  { name: "e", kind: "info", help: "What", labels: { version: "1" } },
  {
    name: "f_seconds",
    kind: "histogram",
    unit: "seconds",
    help: "Span",
    buckets: [
      [0.005, 1],
      [1, 2],
      [Number.POSITIVE_INFINITY, 3],
    ],
    sum: 4.5,
  },
];

describe("an exposition", () => {
  it("of OpenMetrics 1.0", () => {
    expect(exposition(FAMILIES, "openmetrics")).toBe(`# TYPE a_celsius gauge
# UNIT a_celsius celsius
# HELP a_celsius Air, \\"in\\" \\\\ out
a_celsius 20.5
# TYPE b_seconds gauge
# UNIT b_seconds seconds
# HELP b_seconds Time
b_seconds +Inf
# TYPE c counter
# HELP c Count
c_total{sensor="x\\"y\\\\z\\n"} 3
# TYPE d stateset
# HELP d State
d{tag="t",d="on"} 0
d{tag="t",d="off"} 1
# TYPE e info
# HELP e What
e_info{version="1"} 1
# TYPE f_seconds histogram
# UNIT f_seconds seconds
# HELP f_seconds Span
f_seconds_bucket{le="0.005"} 1
f_seconds_bucket{le="1.0"} 2
f_seconds_bucket{le="+Inf"} 3
f_seconds_count 3
f_seconds_sum 4.5
# EOF
`);
  });

  it("of the older format has only kinds that it knows, and no end", () => {
    const text = exposition(FAMILIES, "plain");
    expect(text.match(/^# TYPE .*$/gm)).toEqual([
      "# TYPE a_celsius gauge",
      "# TYPE b_seconds gauge",
      "# TYPE c_total counter",
      "# TYPE d gauge",
      "# TYPE e_info gauge",
      "# TYPE f_seconds histogram",
    ]);
    expect(text).toContain('# HELP a_celsius Air, "in" \\\\ out\n');
    expect(text).not.toMatch(/# (UNIT|EOF)/);
  });
});
