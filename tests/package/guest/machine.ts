// One emulated PC with the guest's disk, its GPIO lines, and a shell on a serial port. It is ended by its own process id.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { createConnection, type Socket } from "node:net";
import { join } from "node:path";
import { until } from "../../kernel/host/deadline.ts";
import { type GuestDisk, SHELL_IS_UP } from "./disk.ts";
import { PINS_ADDRESS, Pins } from "./pins.ts";

/** The kernel ends the emulator when this process ends, however that happens. */
const DIE_WITH_PARENT = ["--pdeathsig", "KILL"];

function argumentsFor(disk: GuestDisk, folder: string): string[] {
  const kept = `memmap=1M$0x${PINS_ADDRESS.toString(16)}`;
  return [
    ...["-M", "pc,memory-backend=ram", "-cpu", "max", "-accel", "tcg,thread=multi", "-smp", "2", "-m", "1G"],
    ...["-object", `memory-backend-file,id=ram,size=1G,mem-path=${join(folder, "memory")},share=on`],
    ...["-display", "none", "-no-reboot", "-nodefaults", "-acpitable", `file=${disk.firmware}`],
    ...["-kernel", disk.kernel, "-initrd", disk.initramfs],
    ...["-append", `console=ttyS0,115200 mitigations=off rdinit=/init ${kept}`],
    ...["-serial", "stdio", "-serial", `unix:${join(folder, "shell")},server=on,wait=off`],
    ...["-drive", `file=${disk.disk},if=none,id=disk,format=raw,snapshot=on`, "-device", "virtio-blk-pci,drive=disk"],
  ];
}

export class Machine {
  readonly pins: Pins;
  readonly #child: ChildProcess;
  readonly #shell: Socket;
  #heard = "";
  #asked = 0;

  private constructor(child: ChildProcess, shell: Socket, pins: Pins) {
    this.pins = pins;
    this.#child = child;
    this.#shell = shell;
    shell.setEncoding("utf8").on("data", (text: string) => {
      this.#heard += text;
    });
  }

  /** Starts it and waits until its shell answers; `console` receives the kernel's and systemd's messages. */
  static async boot(disk: GuestDisk, folder: string, console: (text: string) => void): Promise<Machine> {
    const child = spawn("setpriv", [...DIE_WITH_PARENT, "qemu-system-x86_64", ...argumentsFor(disk, folder)], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    child.stdout.setEncoding("utf8").on("data", console);
    child.stderr.setEncoding("utf8").on("data", console);
    const shell = await until(20, "the emulator's serial port", () => connected(join(folder, "shell")));
    const machine = new Machine(child, shell, await Pins.reset(join(folder, "memory")));
    try {
      await until(150, "a booted guest", () => machine.#heard.includes(SHELL_IS_UP) || undefined);
    } catch (error) {
      await machine.stop();
      throw error;
    }
    return machine;
  }

  /** What a line of shell prints in the guest, as root, whatever its status. */
  async run(line: string, deadlineSeconds = 90): Promise<string> {
    this.#asked += 1;
    // The mark is put together by the guest's shell, so that no echo of the line can pass for it.
    const mark = `answer-${this.#asked}-ends`;
    this.#heard = "";
    this.#shell.write(`{ ${line}; } 2>&1; printf 'answer-%s-ends' ${this.#asked}\n`);
    const end = await until(deadlineSeconds, `guest: ${line}`, () => {
      const at = this.#heard.indexOf(mark);
      return at < 0 ? undefined : at;
    });
    return this.#heard.slice(0, end).replaceAll("\r", "");
  }

  async stop(): Promise<void> {
    this.#shell.destroy();
    await this.pins.close();
    const ended = once(this.#child, "exit");
    this.#child.kill("SIGKILL");
    if (this.#child.exitCode === null && this.#child.signalCode === null) await ended;
  }
}

async function connected(path: string): Promise<Socket> {
  const socket = createConnection(path);
  await once(socket, "connect");
  return socket;
}
