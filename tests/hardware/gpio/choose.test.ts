// Which of the kernel's two GPIO interfaces is taken: by what is there, by what the machine can load, or by the configuration.
import { describe, expect, it } from "vitest";
import { HardwareError } from "../../../hardware/errors.ts";
import { chooseGpio } from "../../../hardware/gpio/choose.ts";
import type { GpioInterfaceName } from "../../../hardware/gpio/interface.ts";
import { canLoadKoffi, type KernelCalls, kernelCalls } from "../../../hardware/gpio/kernel-calls.ts";
import { isInstalled } from "../../support/gpio-tree.ts";
import { kernelTree } from "../../support/kernel-tree.ts";
import { ManualClock } from "../../support/manual-clock.ts";

const missing = () => Promise.reject(new HardwareError("PACKAGE_MISSING", "koffi"));
const present = async () => ({}) as KernelCalls;

async function chosen(device: boolean, wanted: GpioInterfaceName | null, calls: () => Promise<KernelCalls>) {
  const root = await kernelTree({ [device ? "/dev/gpiochip0" : "/dev/null"]: "" });
  const onoff = () => Promise.reject(new Error("not wanted here"));
  const told: string[] = [];
  const onFallback = (why: string) => void told.push(why);
  const { name } = await chooseGpio({ root, clock: new ManualClock(), wanted, onoff, kernelCalls: calls, onFallback });
  return { name, told: told.length };
}

describe("the GPIO interface", () => {
  it.each([
    ["the character device where there is one", true, null, present, { name: "cdev", told: 0 }],
    ["sysfs where there is none", false, null, present, { name: "sysfs", told: 0 }],
    ["sysfs where the package cannot be loaded, and says so", true, null, missing, { name: "sysfs", told: 1 }],
    ["sysfs where the configuration says so", true, "sysfs", present, { name: "sysfs", told: 0 }],
    ["the character device where the configuration says so", false, "cdev", present, { name: "cdev", told: 0 }],
  ] as const)("is %s", async (_what, device, wanted, calls, outcome) => {
    await expect(chosen(device, wanted, calls)).resolves.toEqual(outcome);
  });

  it("is an error when the configuration names the one that cannot be had", async () => {
    await expect(chosen(true, "cdev", missing)).rejects.toMatchObject({ code: "PACKAGE_MISSING" });
  });
});

describe("the package's ready-made part", () => {
  // uname(2) of Raspberry Pi 1 and Zero, 2 to 4 with a 32-bit system, and 64-bit systems.
  it.each([
    ["arm", "armv6l", false],
    ["arm", "armv7l", true],
    ["arm", "aarch64", true],
    ["arm64", "aarch64", true],
    ["x64", "x86_64", true],
  ])("on %s, %s can be loaded: %s", (architecture, model, can) => {
    expect(canLoadKoffi(architecture, model)).toBe(can);
  });
});

if (isInstalled("koffi")) {
  describe("calls of this machine's own C library", () => {
    const calls = async () => kernelCalls((await import("koffi")).default);

    it("give errors as Node's own file calls do", async () => {
      const { open, ioctl, close } = await calls();
      const file = open("/dev/null");
      const failure = () => ioctl(file, 0x8044_b401, new Uint8Array(68));
      expect(failure).toThrow(expect.objectContaining({ code: "ENOTTY", syscall: "ioctl" }));
      close(file);
      expect(failure).toThrow(expect.objectContaining({ code: "EBADF" }));
    });

    it("read what is there, and never wait for what is not", async () => {
      const { open, read, neverWait, close } = await calls();
      const zero = open("/dev/zero");
      const bytes = Uint8Array.of(1, 2, 3, 4);
      expect(read(zero, bytes.subarray(1, 3))).toBe(2);
      expect([...bytes]).toEqual([1, 0, 0, 4]);
      close(zero);
      // A terminal without input would make a reader wait for ever.
      const empty = open("/dev/ptmx");
      neverWait(empty);
      expect(read(empty, bytes)).toBe(0);
      close(empty);
    });
  });
}
