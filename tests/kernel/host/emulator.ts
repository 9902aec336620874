// One QEMU process with the board, its chips and its control channels. It is ended by its own process id on every path.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { setPriority, tmpdir } from "node:os";
import { join } from "node:path";
import { until } from "./deadline.ts";
import { Qmp } from "./qmp.ts";
import { Qtest } from "./qtest.ts";

export type EmulatorFiles = { readonly kernel: string; readonly deviceTree: string; readonly initramfs: string };

/** A chip on the first I2C controller; `model` is QEMU's name of it, `id` its name on the control channel. */
export type EmulatedChip = { readonly model: string; readonly id: string; readonly address: number };

/** Ports of the guest that are reachable on the host's loopback. */
export const GUEST_PORTS = { page: 8080, shell: 7000 } as const;

/**
 * A starved emulator, or a starved sender of pulses, makes edges that no fan makes. Both go before the host's other programs.
 * QEMU inherits this for all its threads.
 */
const PRIORITY = -15;

/** The kernel ends the emulator when this process ends, however that happens. `setpriv` becomes QEMU and gives it its process id. */
const DIE_WITH_PARENT = ["--pdeathsig", "KILL"];

function goFirst(): void {
  try {
    setPriority(PRIORITY);
  } catch {
    // Only root may; without it the test asks for a quieter host.
  }
}

function argumentsFor(files: EmulatorFiles, chips: readonly EmulatedChip[], folder: string): string[] {
  const forwards = Object.values(GUEST_PORTS).map((port) => `hostfwd=tcp:127.0.0.1:0-:${port}`);
  return [
    ...["-M", "sabrelite", "-accel", "tcg,thread=multi", "-smp", "2", "-m", "512M", "-display", "none", "-no-reboot"],
    ...["-kernel", files.kernel, "-dtb", files.deviceTree, "-initrd", files.initramfs],
    ...["-append", "console=ttymxc1,115200 panic=-1 maxcpus=2 mitigations=off rdinit=/init"],
    ...["-serial", "null", "-serial", "stdio", "-monitor", "none"],
    ...["-qmp", `unix:${join(folder, "qmp")},server=on,wait=off`],
    ...["-qtest", `unix:${join(folder, "qtest")},server=on,wait=off`, "-qtest-log", "none"],
    ...["-nic", ["user", ...forwards].join(",")],
    ...chips.flatMap(({ model, id, address }) => ["-device", `${model},id=${id},bus=i2c-bus.0,address=${address}`]),
  ];
}

export class Emulator {
  readonly qmp: Qmp;
  readonly qtest: Qtest;
  private readonly child: ChildProcess;
  private readonly folder: string;

  private constructor(child: ChildProcess, folder: string, qmp: Qmp, qtest: Qtest) {
    this.child = child;
    this.folder = folder;
    this.qmp = qmp;
    this.qtest = qtest;
  }

  /** Starts the machine; `console` receives the guest's console output. */
  static async start(
    files: EmulatorFiles,
    chips: readonly EmulatedChip[],
    console: (text: string) => void,
  ): Promise<Emulator> {
    const folder = await mkdtemp(join(tmpdir(), "emberwire-guest-"));
    goFirst();
    const child = spawn("setpriv", [...DIE_WITH_PARENT, "qemu-system-arm", ...argumentsFor(files, chips, folder)], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    child.on("error", (error) => console(`${error.message}\n`));
    child.stdout.setEncoding("utf8").on("data", console);
    child.stderr.setEncoding("utf8").on("data", console);
    try {
      const qmp = await Qmp.open(join(folder, "qmp"));
      const qtest = await Qtest.open(join(folder, "qtest"));
      return new Emulator(child, folder, qmp, qtest);
    } catch (error) {
      child.kill("SIGKILL");
      await rm(folder, { recursive: true, force: true });
      throw error;
    }
  }

  /** The host's port behind a port of the guest. QEMU chose a free one itself, so that no other program can take it first. */
  async hostPort(guestPort: number): Promise<number> {
    const text = await this.qmp.execute("human-monitor-command", { "command-line": "info usernet" });
    const match = new RegExp(`HOST_FORWARD\\]\\s+\\d+\\s+127\\.0\\.0\\.1\\s+(\\d+)\\s+\\S+\\s+${guestPort}\\b`).exec(
      String(text),
    );
    if (match === null) throw new Error(`no forwarded port for the guest's ${guestPort}:\n${String(text)}`);
    return Number(match[1]);
  }

  /** What an emulated thermometer measures from now on. */
  async setTemperature(chip: string, celsius: number): Promise<void> {
    await this.setProperty(chip, "temperature", Math.round(celsius * 1000));
  }

  /**
   * Puts a chip at another address of the bus: to the guest it stops answering. QEMU has no cable to pull, and its I2C devices
   * cannot be unplugged, but an unrealised device takes a new address.
   */
  async moveChip(chip: string, address: number): Promise<void> {
    await this.setProperty(chip, "realized", false);
    await this.setProperty(chip, "address", address);
    await this.setProperty(chip, "realized", true);
  }

  private async setProperty(chip: string, property: string, value: number | boolean): Promise<void> {
    await this.qmp.execute("qom-set", { path: `/machine/peripheral/${chip}`, property, value });
  }

  async stop(): Promise<void> {
    this.qmp.close();
    this.qtest.close();
    this.child.kill("SIGKILL");
    await until(20, "the emulator's end", () => this.child.exitCode ?? this.child.signalCode ?? undefined);
    await rm(this.folder, { recursive: true, force: true });
  }
}
