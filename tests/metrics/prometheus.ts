// Debian's Prometheus as a process of this test: its own folder, a port of its own, ended with the test. Nothing of it is faked.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { copyFile, mkdir, readFile, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { vi } from "vitest";
import { freePort } from "../support/free-port.ts";

const EXAMPLES = resolve("systemd/prometheus");

/** One line of an instant query's answer. */
export type Sample = { readonly labels: Readonly<Record<string, string>>; readonly value: number };

export type Prometheus = {
  readonly address: string;
  /** PromQL, now. Rejects with Prometheus's own words. */
  query(expression: string): Promise<readonly Sample[]>;
  /** `data` of any address below /api/v1. */
  ask<T>(path: string): Promise<T>;
  stop(): Promise<void>;
};

/** What it needs for a daemon with passwords and a certificate of its own. */
export type Credentials = { readonly tokenFile: string; readonly certificate: string };

/** The example's lines for passwords and TLS, taken out of their comments, with this test's files. */
function guarded(example: string, { tokenFile, certificate }: Credentials): string {
  return example
    .replaceAll(/^( *)# (authorization|scheme|tls_config): /gm, "$1$2: ")
    .replace("/etc/prometheus/emberwire.token", tokenFile)
    .replace("/etc/prometheus/emberwire.pem", certificate);
}

/** Runs the example configuration, with the daemon at `target` and a second in place of its five. */
export async function startPrometheus(
  folder: string,
  target: string,
  credentials: Credentials | null = null,
): Promise<Prometheus> {
  const consoles = join(folder, "consoles");
  await mkdir(consoles, { recursive: true });
  const example = await readFile(join(EXAMPLES, "prometheus.yml"), "utf8");
  const config = example.replaceAll(/: 5s$/gm, ": 1s").replace("127.0.0.1:8373", target);
  await writeFile(join(folder, "prometheus.yml"), credentials === null ? config : guarded(config, credentials));
  await copyFile(join(EXAMPLES, "alerts.yml"), join(folder, "alerts.yml"));
  await copyFile(join(EXAMPLES, "feedpoint.html"), join(consoles, "feedpoint.html"));
  const port = await freePort();
  const flags = [
    `--config.file=${join(folder, "prometheus.yml")}`,
    `--storage.tsdb.path=${join(folder, "data")}`,
    `--web.listen-address=127.0.0.1:${port}`,
    `--web.console.templates=${consoles}`,
    "--log.level=warn",
  ];
  const child = spawn("prometheus", flags, { stdio: ["ignore", "ignore", "pipe"] });
  const said: string[] = [];
  child.stderr.on("data", (text: Buffer) => said.push(text.toString()));
  const address = `http://127.0.0.1:${port}`;
  await vi.waitFor(
    async () => {
      if (child.exitCode !== null) throw new Error(`prometheus did not start:\n${said.join("")}`);
      const response = await fetch(`${address}/-/ready`, { signal: AbortSignal.timeout(2_000) });
      if (!response.ok) throw new Error(`prometheus is not ready: ${response.status}`);
    },
    { timeout: 60_000, interval: 100 },
  );
  const ask = async <T>(path: string): Promise<T> => {
    const response = await fetch(`${address}/api/v1/${path}`, { signal: AbortSignal.timeout(10_000) });
    const { data, error } = (await response.json()) as { readonly data?: T; readonly error?: string };
    if (data === undefined) throw new Error(`prometheus: ${error}`);
    return data;
  };
  type Vector = {
    readonly result: readonly {
      readonly metric: Readonly<Record<string, string>>;
      readonly value: readonly [number, string];
    }[];
  };
  return {
    address,
    ask,
    query: async (expression) => {
      const { result } = await ask<Vector>(`query?query=${encodeURIComponent(expression)}`);
      return result.map(({ metric, value }) => ({ labels: metric, value: numberOf(value[1]) }));
    },
    stop: () => ended(child),
  };
}

function numberOf(text: string): number {
  return Number(text.replace("Inf", "Infinity"));
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  child.kill("SIGTERM");
  await once(child, "exit");
}
