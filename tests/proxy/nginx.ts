// Debian's nginx as a process of this test: unpacked, not installed, so that no service of the system is started or changed. It runs
// the example of systemd/nginx as it stands there, but for ports, files and the daemon's address.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { vi } from "vitest";
import type { CertificateFiles } from "../../daemon/outputs/certificate.ts";
import { exec } from "../../systemd/package/exec.ts";
import { freePort } from "../support/free-port.ts";

const EXAMPLE = readFileSync("systemd/nginx/emberwire.conf", "utf8");
const INSTALLED = "/usr/sbin/nginx";

/** The lines for emberwire.toml in the example's head. */
export const EXAMPLE_CONFIG = EXAMPLE.split("\n")
  .filter((line) => line.startsWith("#   "))
  .map((line) => line.slice(4))
  .join("\n");

export type Nginx = { readonly port: number; stop(): Promise<void> };

/** The system's own program where it has one, else the one in Debian's package, below `folder`. */
async function programIn(folder: string): Promise<string> {
  if (existsSync(INSTALLED)) return INSTALLED;
  mkdirSync(folder, { recursive: true });
  try {
    await exec("apt-get", ["download", "-q", "nginx"], { cwd: folder, deadlineSeconds: 60 }).catch(async () => {
      await exec("apt-get", ["update", "-o", "DPkg::Lock::Timeout=120"], { deadlineSeconds: 180 });
      await exec("apt-get", ["download", "-q", "nginx"], { cwd: folder, deadlineSeconds: 60 });
    });
    const file = readdirSync(folder).find((name) => name.endsWith(".deb")) ?? "nginx.deb";
    await exec("dpkg-deb", ["-x", file, "."], { cwd: folder, deadlineSeconds: 30 });
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    throw new Error(`this suite needs Debian's nginx and cannot have it: ${said}`, { cause: error });
  }
  return join(folder, INSTALLED);
}

/** `to` puts this test's values in the place of the example's; one that does not stand there is an error. */
function replaced(text: string, to: Readonly<Record<string, string>>): string {
  return Object.entries(to).reduce((made, [from, value]) => {
    if (!made.includes(from)) throw new Error(`the example for nginx has no longer: ${from}`);
    return made.replace(from, value);
  }, text);
}

/** Serves `https://127.0.0.1:PORT` for the daemon at `target`, and waits until it does. */
export async function startNginx(folder: string, files: CertificateFiles, target: string): Promise<Nginx> {
  const program = await programIn(join(folder, "package"));
  const port = await freePort();
  const site = replaced(EXAMPLE, {
    "listen 443 ssl": `listen 127.0.0.1:${port} ssl`,
    "    listen [::]:443 ssl;\n": "",
    "/etc/emberwire/certificate.pem": files.certificate,
    "/etc/emberwire/key.pem": files.key,
    "127.0.0.1:8373": target,
  });
  writeFileSync(join(folder, "emberwire.conf"), site);
  const spool = ["client_body", "proxy", "fastcgi", "uwsgi", "scgi"].map(
    (name) => `${name}_temp_path ${join(folder, name)};`,
  );
  writeFileSync(
    join(folder, "nginx.conf"),
    [
      ...(process.getuid?.() === 0 ? ["user root;"] : []),
      `daemon off; worker_processes 1; pid ${join(folder, "nginx.pid")};`,
      "events {}",
      `http { access_log off; ${spool.join(" ")} include ${join(folder, "emberwire.conf")}; }\n`,
    ].join("\n"),
  );
  const flags = ["-p", folder, "-c", join(folder, "nginx.conf"), "-e", "stderr"];
  const child = spawn(program, flags, { stdio: ["ignore", "ignore", "pipe"] });
  const said: string[] = [];
  child.stderr.on("data", (text: Buffer) => said.push(text.toString()));
  child.on("error", (error) => said.push(error.message));
  await vi.waitFor(
    async () => {
      if (child.exitCode !== null) throw new Error(`nginx did not start:\n${said.join("")}`);
      const socket = connect(port, "127.0.0.1");
      await once(socket, "connect").finally(() => socket.destroy());
    },
    { timeout: 15_000, interval: 50 },
  );
  return { port, stop: () => ended(child) };
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  child.kill("SIGTERM");
  await once(child, "exit");
}
