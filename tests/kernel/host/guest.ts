// The guest as a whole: the emulated board, its shell, its fan, and the daemon as a service in it.
// Whatever a test needs to know when something failed (console, the daemon's output) can be had in one text.

import { until } from "./deadline.ts";
import { Emulator, GUEST_PORTS } from "./emulator.ts";
import { Fan } from "./fan.ts";
import { GuestShell } from "./guest-shell.ts";
import { CHIPS, PINS } from "./wiring.ts";

/** What is needed to boot; the image builder makes it. */
export type GuestFiles = { readonly kernel: string; readonly deviceTree: string; readonly initramfs: string };

/** Commands of the unit under test, run in the guest as systemd would run them. */
export type Service = { readonly start: string; readonly afterStop: string };

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
    const board = await Emulator.start(files, Object.values(CHIPS), (more) => {
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

  /** Starts the service's keeper, which restarts the daemon whenever it ends. */
  async startService(service: Service): Promise<void> {
    await this.write("/run/service/start", service.start);
    await this.write("/run/service/after-stop", service.afterStop);
    await this.shell.run(
      'setsid /service.sh "$(cat /run/service/start)" "$(cat /run/service/after-stop)" > /dev/null 2>&1 < /dev/null &',
    );
  }

  /** Everything that may explain a failure. */
  async story(): Promise<string> {
    const log = await this.shell.run("tail -n 80 /run/service/log; dmesg | tail -n 20", 10).catch(String);
    return `console of the guest:\n${this.console().slice(-3_000)}\nservice in the guest:\n${log}`;
  }

  async stop(): Promise<void> {
    await this.fan.halt();
    await this.board.stop();
  }
}
