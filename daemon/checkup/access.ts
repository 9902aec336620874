// May the daemon's user open what is wired, and does the computer itself get enough voltage? Files of the machine are looked at,
// none is opened for writing.

import { readFileSync, type Stats, statSync } from "node:fs";
import { userInfo } from "node:os";
import type { Board, HardwareSpec } from "../../hardware/ports.ts";
import { type Finding, wellDone } from "./finding.ts";

const GROUP_ACCESS = 0o060;

/** A device file with the group that the daemon is in. */
type Device = { readonly path: string; readonly group: "i2c" | "gpio" };

/** Buses of the config and the chips of lines. `root` stands before every path; empty on a real machine. */
export async function checkAccess(spec: HardwareSpec, board: Board, root = ""): Promise<readonly Finding[]> {
  const groups = groupsIn(root);
  const devices = await devicesOf(spec, board);
  const there = devices.flatMap((device) => {
    const status = statSync(`${root}${device.path}`, { throwIfNoEntry: false });
    return status === undefined ? [] : [{ device, status }];
  });
  if (there.length === 0) return [];
  const bad = there.flatMap(({ device, status }) => closed(device, status, groups) ?? []);
  if (bad.length > 0) return alike(bad);
  const names = [...new Set(there.map(({ device }) => device.group))].join(" and ");
  return [wellDone("access", there.map(({ device }) => device.path).join(", "), `open to ${names}`)];
}

/** One finding for all devices of which the same is to be said. */
function alike(findings: readonly Finding[]): readonly Finding[] {
  const bySaying = new Map<string, Finding>();
  for (const finding of findings) {
    const before = bySaying.get(finding.says);
    const place = before === undefined ? finding.place : `${before.place}, ${finding.place}`;
    bySaying.set(finding.says, { ...finding, place });
  }
  return [...bySaying.values()];
}

async function devicesOf({ sensors, supply, drive, tachometer, relay, buzzer }: HardwareSpec, board: Board) {
  const buses = [...sensors.map(({ source }) => source), supply, drive].flatMap((part) =>
    part !== null && "bus" in part ? [part.bus] : [],
  );
  const devices: Device[] = [...new Set(buses)].map((bus) => ({ path: `/dev/i2c-${bus}`, group: "i2c" }));
  if (tachometer?.kind === "gpio" || relay !== null || buzzer !== null) {
    const names = await board.list("/dev").catch(() => []);
    const chips = names.filter((name) => /^gpiochip\d+$/.test(name));
    devices.push(...chips.map((name): Device => ({ path: `/dev/${name}`, group: "gpio" })));
  }
  return devices;
}

type Groups = ReadonlyMap<string, number>;

/** Names with their numbers (group(5)). */
function groupsIn(root: string): Groups {
  let text = "";
  try {
    text = readFileSync(`${root}/etc/group`, "utf8");
  } catch {
    // A machine without the file has no groups to be in.
  }
  const rows = text.split("\n").map((line) => line.split(":"));
  return new Map(rows.flatMap(([name = "", , number = ""]) => (/^\d+$/.test(number) ? [[name, Number(number)]] : [])));
}

/** Why the daemon's group cannot open it; null when it can. */
function closed({ path, group }: Device, status: Stats, groups: Groups): Finding | null {
  const number = groups.get(group);
  const finding = (says: string, remedy: string): Finding => {
    return { what: "access", place: path, verdict: mayOpen(status) ? "warning" : "bad", says, remedy };
  };
  if (number === undefined) {
    return finding(
      `there is no group ${group}`,
      "`sudo systemd-sysusers` makes it, once systemd/emberwire.sysusers stands in /etc/sysusers.d; the package brings it.",
    );
  }
  if (status.gid !== number || (status.mode & GROUP_ACCESS) !== GROUP_ACCESS) {
    const owner = [...groups].find(([, gid]) => gid === status.gid)?.[0] ?? `number ${status.gid}`;
    const says = `it belongs to group ${owner} with mode ${(status.mode & 0o777).toString(8)}, not to ${group} with 660`;
    return finding(
      says,
      "Install systemd/emberwire.rules as /etc/udev/rules.d/60-emberwire.rules (the package does), then `sudo udevadm control --reload && sudo udevadm trigger`.",
    );
  }
  if (mayOpen(status)) return null;
  const user = userInfo().username;
  return finding(`${user} is not in the group ${group}`, `\`sudo usermod -aG ${group} ${user}\`, then log in again.`);
}

function mayOpen({ uid, gid, mode }: Stats): boolean {
  const own = process.getuid?.() ?? 0;
  if (own === 0 || own === uid) return true;
  const groups = [process.getgid?.(), ...(process.getgroups?.() ?? [])];
  return groups.includes(gid) && (mode & GROUP_ACCESS) === GROUP_ACCESS;
}

const HWMON = "/sys/class/hwmon";

/** What the kernel tells of the computer's own supply (driver raspberrypi-hwmon); none where it tells nothing. */
export async function checkPower(board: Board): Promise<readonly Finding[]> {
  for (const device of await board.list(HWMON).catch(() => [])) {
    const folder = `${HWMON}/${device}`;
    const name = await board.readText(`${folder}/name`).catch(() => "");
    if (name.trim() !== "rpi_volt") continue;
    const alarm = await board.readText(`${folder}/in0_lcrit_alarm`).catch(() => "");
    if (alarm.trim() !== "1") return [wellDone("power", folder, "the kernel saw no under-voltage")];
    const remedy =
      "Use a supply of 5.1 V with enough current and a short, thick cable; take what hangs on USB off. A card is lost to this sooner or later.";
    return [
      {
        what: "power",
        place: folder,
        verdict: "bad",
        says: "the kernel reports under-voltage of the computer",
        remedy,
      },
    ];
  }
  return [];
}
