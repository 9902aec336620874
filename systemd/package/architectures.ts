// The machines that a package can be made for, by their names in the different worlds. It compiles nothing.

import { exec } from "./exec.ts";

/** Debian's name of an architecture that a Raspberry Pi or a test machine has. */
export type ArchitectureName = "amd64" | "arm64" | "armhf";

/** One architecture. */
export type Architecture = {
  readonly debian: ArchitectureName;
  /** As in `process.arch`. */
  readonly node: string;
  /** Prefix of compiler and linker. */
  readonly triplet: string;
  /** The package with koffi's ready-made addon, and the folder in it that holds the one for glibc. */
  readonly koffi: { readonly name: string; readonly folder: string };
};

/** All of them, by Debian's names. */
export const ARCHITECTURES: Readonly<Record<ArchitectureName, Architecture>> = {
  amd64: {
    debian: "amd64",
    node: "x64",
    triplet: "x86_64-linux-gnu",
    koffi: { name: "@koromix/koffi-linux-x64", folder: "linux_x64" },
  },
  arm64: {
    debian: "arm64",
    node: "arm64",
    triplet: "aarch64-linux-gnu",
    koffi: { name: "@koromix/koffi-linux-arm64", folder: "linux_arm64" },
  },
  armhf: {
    debian: "armhf",
    node: "arm",
    triplet: "arm-linux-gnueabihf",
    koffi: { name: "@koromix/koffi-linux-arm", folder: "linux_armhf" },
  },
};

/** @throws Error that lists the names there are. */
export function architectureOf(name: string): Architecture {
  const names = Object.keys(ARCHITECTURES);
  if (!names.includes(name)) throw new Error(`--architecture: expected one of ${names.join(", ")}, got "${name}"`);
  return ARCHITECTURES[name as ArchitectureName];
}

/** Debian's name of this machine's architecture. */
export async function hostArchitecture(): Promise<string> {
  return (await exec("dpkg", ["--print-architecture"], { deadlineSeconds: 20 })).trim();
}

/** The Debian package with the compiler that makes programs for `target` on this machine. */
export async function compilerPackage(target: Architecture): Promise<string> {
  return (await hostArchitecture()) === target.debian ? "g++" : `g++-${target.triplet.replaceAll("_", "-")}`;
}
