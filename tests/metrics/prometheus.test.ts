// The metrics against what will read them: Debian's Prometheus scrapes a running feedpoint and answers PromQL, its promtool looks at
// names, rules and config, and the strict parser of Prometheus's own client library for Python reads every line.

import { spawnSync } from "node:child_process";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "../browser/feedpoint.ts";
import { type Prometheus, type Sample, startPrometheus } from "./prometheus.ts";

const PACKAGES = ["prometheus", "python3-prometheus-client"];
const PATIENT = { timeout: 30_000, interval: 200 };

/** Debian's own, for which the parser is packaged. */
const PYTHON = "/usr/bin/python3";
const STRICT_PARSER = `
import sys
from prometheus_client.openmetrics.parser import text_string_to_metric_families
for family in text_string_to_metric_families(sys.stdin.read()):
    print(family.name, family.type, family.unit, len(family.samples))
`;

const folder = await scratchFolder();
let feedpoint: ScriptedFeedpoint | null = null;
let prometheus: Prometheus | null = null;

const daemon = (): ScriptedFeedpoint => feedpoint ?? expect.unreachable("the daemon did not start");
const store = (): Prometheus => prometheus ?? expect.unreachable("prometheus did not start");

beforeAll(async () => {
  await installHostPackages("the test of the metrics", PACKAGES, (line) => process.stdout.write(`${line}\n`));
  feedpoint = await startScripted(`${folder.path}/feedpoint`, 1);
  prometheus = await startPrometheus(folder.path, new URL(feedpoint.address).host);
  await answered('up{job="emberwire"} == 1', (samples) => expect(samples).toHaveLength(1));
});

afterAll(async () => {
  await prometheus?.stop();
  await feedpoint?.stop();
  await folder.remove();
});

/** Asks again until `holds` is content. */
function answered(expression: string, holds: (samples: readonly Sample[]) => void): Promise<void> {
  return vi.waitFor(async () => holds(await store().query(expression)), PATIENT);
}

function run(
  program: string,
  flags: readonly string[],
  input = "",
): { readonly status: number | null; readonly said: string } {
  const { status, stdout, stderr, error } = spawnSync(program, flags, { input, encoding: "utf8", timeout: 30_000 });
  if (error !== undefined) throw error;
  return { status, said: `${stdout}${stderr}` };
}

async function scrape(accept: string): Promise<string> {
  const text = async (): Promise<string> => {
    const response = await fetch(`${daemon().address}metrics`, { headers: { Accept: accept } });
    expect(response.status).toBe(200);
    return response.text();
  };
  return vi.waitFor(text, PATIENT);
}

async function stateOf<T>(fields: string): Promise<T> {
  return vi.waitFor(async () => {
    const response = await fetch(`${daemon().address}api/v1/state?fields=${fields}`);
    expect(response.status).toBe(200);
    return (await response.json()) as T;
  }, PATIENT);
}

describe("the text", () => {
  it("is read by a strict parser of OpenMetrics, kinds and units included", async () => {
    const { status, said } = run(
      PYTHON,
      ["-c", STRICT_PARSER],
      await scrape("application/openmetrics-text; version=1.0.0"),
    );
    expect({ status, said }).toMatchObject({ status: 0, said: expect.stringContaining("core_celsius") });
    for (const line of [
      /^core_upper_celsius gauge celsius 1$/m,
      /^power_stage stateset {2}3$/m,
      /^alarm_state stateset {2}\d{3}$/m,
      /^cycle_duration_seconds histogram seconds 12$/m,
      /^build info {2}1$/m,
      /^tach_rejected_edges counter {2}1$/m,
    ]) {
      expect(said).toMatch(line);
    }
  });

  it("is not read by it when it lies about itself", async () => {
    const text = await scrape("application/openmetrics-text; version=1.0.0");
    for (const spoilt of [
      text.replace("# EOF\n", ""),
      text.replace("# UNIT core_celsius celsius", "# UNIT core_celsius kelvin"),
    ]) {
      expect(run(PYTHON, ["-c", STRICT_PARSER], spoilt).said).toContain("ValueError");
    }
  });

  it("in the older format has names to which promtool has no objection", async () => {
    expect(run("promtool", ["check", "metrics"], await scrape("text/plain;version=0.0.4"))).toEqual({
      status: 0,
      said: "",
    });
  });
});

describe("the examples", () => {
  it.each([
    ["check", "rules", "systemd/prometheus/alerts.yml"],
    ["check", "config", "systemd/prometheus/prometheus.yml"],
    ["test", "rules", "tests/metrics/alerts.test.yml"],
  ])("promtool %s %s %s", (...flags) => {
    const { status, said } = run("promtool", flags);
    expect({ status, said }).toMatchObject({ status: 0, said: expect.stringContaining("SUCCESS") });
  });
});

describe("a Prometheus that scrapes", () => {
  it("knows kind, unit and meaning of what it has", async () => {
    type Metadata = Readonly<
      Record<string, readonly { readonly type: string; readonly unit: string; readonly help: string }[]>
    >;
    await vi.waitFor(async () => {
      const metadata = await store().ask<Metadata>("metadata");
      expect(metadata["core_upper_celsius"]).toMatchObject([{ type: "gauge", unit: "celsius" }]);
      expect(metadata["power_stage"]).toMatchObject([{ type: "stateset" }]);
      expect(metadata["cycle_duration_seconds"]).toMatchObject([{ type: "histogram", unit: "seconds" }]);
      expect(metadata["build"]).toMatchObject([{ type: "info" }]);
    }, PATIENT);
  });

  it("answers with the daemon's own numbers", async () => {
    const {
      core_upper_celsius,
      limit_celsius,
      feedpoint: name,
    } = await stateOf<{
      readonly core_upper_celsius: number;
      readonly limit_celsius: number;
      readonly feedpoint: string;
    }>("core_upper_celsius,limit_celsius,feedpoint");
    await answered("min_over_time(core_upper_celsius[1m]) - 1", ([least]) =>
      expect(least?.value).toBeLessThan(core_upper_celsius),
    );
    await answered("max_over_time(core_upper_celsius[1m]) + 1", ([most]) =>
      expect(most?.value).toBeGreaterThan(core_upper_celsius),
    );
    await answered("limit_celsius", ([limit]) => expect(limit?.value).toBe(limit_celsius));
    await answered("build_info", ([build]) =>
      expect(build?.labels).toMatchObject({ feedpoint: name, simulated: "true" }),
    );
  });

  it("finds exactly one state true in every set", async () => {
    const alarms = (await (await fetch(`${daemon().address}api/v1/alarms`)).json()) as readonly unknown[];
    await answered("sum(power_stage)", ([sum]) => expect(sum?.value).toBe(1));
    await answered("sum by (tag) (alarm_state) == 1", (samples) => expect(samples).toHaveLength(alarms.length));
    await answered("count(sum by (tag) (alarm_state) != 1)", (samples) => expect(samples).toEqual([]));
  });

  it("sees the cycles go on and how long they take", async () => {
    await answered("increase(cycle_duration_seconds_count[10s])", ([cycles]) =>
      expect(cycles?.value).toBeGreaterThan(2),
    );
    await answered("histogram_quantile(0.5, rate(cycle_duration_seconds_bucket[10s]))", ([median]) => {
      expect(median?.value).toBeGreaterThan(0);
      expect(median?.value).toBeLessThan(1);
    });
  });

  it("loses the number of a sensor that fails at once, and counts its errors", async () => {
    const { faults } = daemon().board;
    await answered("outlet_celsius", (samples) => expect(samples).toHaveLength(1));
    const mend = faults.add({
      kind: "chip silent",
      part: "outlet",
      startSeconds: daemon().board.elapsedSeconds(),
      endSeconds: null,
    });
    await answered("absent(outlet_celsius)", (samples) => expect(samples).toHaveLength(1));
    await answered('sum by (code) (sensor_errors_total{sensor="outlet"})', ([errors]) => {
      expect(errors?.labels["code"]).toMatch(/^[A-Z_]+$/);
      expect(errors?.value).toBeGreaterThan(0);
    });
    mend();
    await answered("outlet_celsius", (samples) => expect(samples).toHaveLength(1));
  });

  it("calls for somebody when the fan stalls, and shows it on the dashboard", async () => {
    daemon().board.faults.add({ kind: "fan stall", startSeconds: daemon().board.elapsedSeconds(), endSeconds: null });
    await answered('ALERTS{alertname="FeedpointUnacknowledgedAlarm",tag="fan_stall",alertstate="firing"}', (samples) =>
      expect(samples).toHaveLength(1),
    );
    await vi.waitFor(async () => {
      const page = await (await fetch(`${store().address}/consoles/feedpoint.html`)).text();
      expect(page).toContain("fan_stall: unacknowledged");
      expect(page).toContain("(simulated)");
      expect(page).toMatch(/>\d+ °C</);
      expect(page).not.toContain("Nothing is heard");
    }, PATIENT);
  });

  it("has rules that all can be evaluated", async () => {
    type Rules = {
      readonly groups: readonly {
        readonly rules: readonly { readonly health: string; readonly lastError?: string }[];
      }[];
    };
    const { groups } = await store().ask<Rules>("rules");
    expect(groups.flatMap(({ rules }) => rules).filter(({ health }) => health !== "ok")).toEqual([]);
  });

  it("notices that the board has fallen silent", async () => {
    const host = new URL(daemon().address).host;
    await daemon().stop();
    feedpoint = null;
    await answered('ALERTS{alertname="FeedpointSilent"}', ([alert]) => expect(alert?.labels["instance"]).toBe(host));
    await answered("core_upper_celsius", (samples) => expect(samples).toEqual([]));
    const page = await (await fetch(`${store().address}/consoles/feedpoint.html`)).text();
    expect(page).toContain(`Nothing is heard from ${host}`);
  });
});
