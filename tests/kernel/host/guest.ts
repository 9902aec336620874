// The guest as a whole: the emulated board, its shell, its fan, and the daemon as a service in it.
// Whatever a test needs to know when something failed (console, the daemon's output) can be had in one text.

import { until } from "./deadline.ts";
import { Emulator, GUEST_PORTS } from "./emulator.ts";
import { Fan } from "./fan.ts";
import { GuestShell } from "./guest-shell.ts";
import type { Unit } from "./unit.ts";
import { CHIPS, PINS, STRANGER } from "./wiring.ts";

/** What is needed to boot; the image builder makes it. */
export type GuestFiles = { readonly kernel: string; readonly deviceTree: string; readonly initramfs: string };

const BOOT_SECONDS = 120;
const CONSOLE_CHARACTERS = 20_000;

export class Guest {
  readonly board: Emulator;
  readonly shell: GuestShell;
  readonly fan: Fan;
  /** Port of the daemon's page on the host's loopback. */
  readonly pagePort: number;
  private readonly console: () => string;

  private constructor(board: Emulator, shell: GuestShell, pagePort: number, console: () => string) {
    this.board = board;
    this.shell = shell;
    this.fan = new Fan(board.qtest, PINS.tach);
    this.pagePort = pagePort;
    this.console = console;
  }

  static async boot(files: GuestFiles): Promise<Guest> {
    let text = "";
    const board = await Emulator.start(files, [...Object.values(CHIPS), STRANGER], (more) => {
      text = (text + more).slice(-CONSOLE_CHARACTERS);
    });
    try {
      const shell = new GuestShell(await board.hostPort(GUEST_PORTS.shell));
      const pagePort = await board.hostPort(GUEST_PORTS.page);
      await until(BOOT_SECONDS, "the guest's shell", () => shell.run("true", 5));
      return new Guest(board, shell, pagePort, () => text);
    } catch (error) {
      await board.stop();
      throw new Error(`the guest did not come up; its console:\n${text}`, { cause: error });
    }
  }

  /** Writes a file of the guest. */
  async write(path: string, text: string): Promise<void> {
    await this.shell.run(`mkdir -p "$(dirname ${path})" && cat > ${path} <<'END OF FILE'\n${text}\nEND OF FILE`);
  }

  /** Starts the service's keeper, which restarts the daemon whenever it ends. `flags` are added to the unit's start command. */
  async startService(unit: Unit, flags: string): Promise<void> {
    const environment = [
      ...unit.environment,
      `RUNTIME_DIRECTORY=${unit.runtimeFolder}`,
      `STATE_DIRECTORY=${unit.stateFolder}`,
      // An idle Node with io_uring keeps an emulated processor busy.
      "UV_USE_IO_URING=0",
    ];
    await this.write("/service/environment", environment.map((line) => `export ${line}`).join("\n"));
    await this.write("/service/start", `${unit.start} ${flags}`);
    await this.write("/service/stop-post", unit.stopPost.join("\n"));
    await this.shell.run("setsid /service.sh > /dev/null 2>&1 < /dev/null &");
  }

  /** How often the daemon has ended since the service was started. */
  async daemonEnds(): Promise<number> {
    return Number(await this.shell.run("cat /service/log 2> /dev/null | grep -c '^service: ended' || true"));
  }

  /** Ends the daemon as a crash would; the keeper does what follows, and waits with the restart until `restartService`. */
  async killDaemon(): Promise<void> {
    await this.shell.run("touch /service/hold; kill -9 $(cat /service/pid)");
  }

  /** Resolves when all steps after the stop have run. */
  async serviceStopped(seconds: number): Promise<void> {
    await until(seconds, "the unit's steps after a stop", async () => {
      return (await this.shell.try("test -e /service/stopped")).status === 0 ? true : undefined;
    });
  }

  async restartService(): Promise<void> {
    await this.shell.run("rm /service/hold");
  }

  /** Everything that may explain a failure. */
  async story(): Promise<string> {
    const log = await this.shell.run("tail -n 80 /service/log; dmesg | tail -n 20", 10).catch(String);
    return `console of the guest:\n${this.console().slice(-3_000)}\nservice in the guest:\n${log}`;
  }

  async stop(): Promise<void> {
    await this.fan.halt();
    await this.board.stop();
  }
}
