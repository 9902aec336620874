// Every command of the executable and where its module is. Nothing is loaded here but the one that is asked for.

import type { Command } from "commander";

/** Adds one command to the program. */
export type Register = (program: Command) => void;

/** Loaded one by one, so that the daemon starts quickly and small; in the order of the manual. */
export const COMMANDS: Readonly<Record<string, () => Promise<{ readonly register: Register }>>> = {
  run: () => import("./run.ts"),
  init: () => import("./init.ts"),
  check: () => import("./check.ts"),
  config: () => import("./config.ts"),
  loss: () => import("./loss.ts"),
  airflow: () => import("./airflow.ts"),
  "wire-drop": () => import("./wire-drop.ts"),
  rating: () => import("./rating.ts"),
  forecast: () => import("./forecast.ts"),
  "heat-run": () => import("./heat-run/heat-run.ts"),
  replay: () => import("./replay.ts"),
  export: () => import("./export.ts"),
  report: () => import("./report.ts"),
  import: () => import("./import.ts"),
  backup: () => import("./backup.ts"),
  restore: () => import("./restore.ts"),
  season: () => import("./season.ts"),
  "proof-test": () => import("./proof-test.ts"),
  "set-password": () => import("./set-password.ts"),
  token: () => import("./token.ts"),
  release: () => import("./release.ts"),
};
