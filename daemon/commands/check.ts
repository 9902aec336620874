// `emberwire check`: is everything well that the daemon will lean on? Each part opened, identified and read once.
// It permits no power: opening the relay releases it, and so it stays.

import type { Command } from "commander";
import { systemClock } from "../../hardware/clock.ts";
import type { Board, Clock } from "../../hardware/ports.ts";
import { checkBroker } from "../checkup/broker.ts";
import { checkCertificate } from "../checkup/certificate.ts";
import { checkFeedpoint } from "../checkup/feedpoint.ts";
import { checkFiles } from "../checkup/files.ts";
import type { Finding } from "../checkup/finding.ts";
import { checkDatabase, checkDisk, checkForm, checkSettingsAdvice } from "../checkup/machine.ts";
import { checkNotices } from "../checkup/notices.ts";
import { checkRig } from "../checkup/rig.ts";
import { certificateOf } from "../config/certificate.ts";
import { hardwareSpec } from "../config/hardware-spec.ts";
import { outletOf } from "../config/mqtt.ts";
import { noticesOf } from "../config/notices.ts";
import type { ReadConfig } from "../config/parse.ts";
import { programOf } from "../config/program.ts";
import { driveSettings, rigOf } from "../config/rig.ts";
import type { Program } from "../core/step.ts";
import { BAD_NEWS } from "../exit.ts";
import { dataFolder, logFile, makeFolder } from "../folder.ts";
import { refuseBesideDaemon } from "./beside-daemon.ts";
import { writeJson, writeOut } from "./figures.ts";
import { configFrom } from "./flags.ts";
import { runModel } from "./run-model.ts";

type Flags = {
  readonly config?: string;
  readonly simulated?: true;
  readonly data?: string;
  readonly json?: true;
  readonly sendNotice?: true;
};

const EXAMPLE = `
Releases both relay lines while it looks. Without a config it checks the simulated feedpoint.

Example:
  sudo emberwire check --config /etc/emberwire/emberwire.toml`;

const MARKS = { good: "ok  ", warning: "mind", bad: "BAD " } as const;

/** Adds `check` to the program. */
export function register(program: Command): void {
  program
    .command("check")
    .description("check config, buses, sensors, fan, relay read-back, disk and clock")
    .option("--config <file>", "TOML config; without one the simulated feedpoint is checked")
    .option("--simulated", "check the config's feedpoint on simulated hardware")
    .option("--data <folder>", "where the log is kept, instead of the config's")
    .option("--send-notice", "send a test notice to everybody who is to be told of alarms")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action(check);
}

async function check(flags: Flags, command: Command): Promise<void> {
  const read = configFrom(flags.config);
  const simulated = flags.simulated === true || flags.config === undefined;
  // What `run` would refuse is refused here, the model that was accepted on the page included.
  const frozen = programOf(read, runModel(read, flags, simulated));
  driveSettings(read);
  const folder = dataFolder(flags.data ?? read.config.log.folder);
  makeFolder(folder);
  await refuseBesideDaemon(logFile(folder, simulated));
  const clock = await systemClock();
  const findings: readonly Finding[] = [
    checkForm(read),
    ...(simulated ? [] : checkFiles(read)),
    ...checkSettingsAdvice(frozen),
    ...(await feedpointOf(read, frozen.fan, simulated, clock)),
    await checkDatabase(),
    checkDisk(folder, frozen.alarms.diskFreeRatio),
    ...checkCertificate(certificateOf(read.config.listen, read.placeOf), read.config.listen.names, clock),
    ...(await checkRig(rigOf(read), clock)),
    ...(await checkNotices({
      settings: noticesOf(read),
      feedpoint: read.config.feedpoint.name,
      simulated,
      send: flags.sendNotice === true,
      clock,
    })),
    ...(await checkBroker(outletOf(read, folder, simulated), clock)),
  ];
  const bad = findings.filter(({ verdict }) => verdict === "bad").length;
  if (flags.json === true) writeJson(command, { simulated, good: bad === 0, findings });
  else writeOut(command, [...linesOf(findings), summary(findings, bad, simulated)].join("\n"));
  if (bad > 0) process.exitCode = BAD_NEWS;
}

async function feedpointOf(
  read: ReadConfig,
  fan: Program["fan"],
  simulated: boolean,
  clock: Clock,
): Promise<readonly Finding[]> {
  const { openHardware } = await import("../../hardware/open.ts");
  const spec = hardwareSpec(read);
  const board = await boardOf(read, simulated, clock);
  const opened = await openHardware(spec, board);
  try {
    return await checkFeedpoint({ opened, board, spec, fan });
  } finally {
    await opened.hardware.close();
  }
}

async function boardOf(read: ReadConfig, simulated: boolean, clock: Clock): Promise<Board> {
  if (simulated) {
    const { simulatedBoardOf } = await import("../open-simulated.ts");
    return simulatedBoardOf(read, 1, clock);
  }
  const { realBoard } = await import("../../hardware/board.ts");
  return realBoard({ gpio: read.config.gpio.interface ?? null });
}

/** What is to be done is said once: a bus in trouble is the trouble of everything on it. */
function linesOf(findings: readonly Finding[]): readonly string[] {
  const told = new Map<string, string>();
  return findings.flatMap(({ what, place, verdict, says, remedy }) => {
    const line = `${MARKS[verdict]}  ${what} (${place}): ${says}`;
    if (remedy === null) return [line];
    const before = told.get(remedy);
    told.set(remedy, before ?? what);
    return [line, `      ${before === undefined ? remedy : `As for ${before} above.`}`];
  });
}

function summary(findings: readonly Finding[], bad: number, simulated: boolean): string {
  const on = simulated ? " on the simulated feedpoint" : "";
  const warnings = findings.filter(({ verdict }) => verdict === "warning").length;
  if (bad > 0) return `\n${bad} of ${findings.length} checks failed${on}.`;
  return `\nAll ${findings.length} checks passed${on}${warnings > 0 ? `, ${warnings} with something to mind` : ""}.`;
}
