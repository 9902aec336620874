// A real socket of the sd_notify protocol (sd_notify(3)): a unix datagram socket that a small Perl program holds, because Node has
// none. What arrives is kept line by line.

import { type ChildProcess, spawn } from "node:child_process";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { onTestFinished } from "vitest";
import { testFolder } from "./folder.ts";

const LISTENER = `
use Socket;
$| = 1;
socket(my $socket, PF_UNIX, SOCK_DGRAM, 0) or die "socket: $!";
bind($socket, sockaddr_un($ARGV[0])) or die "bind: $!";
print "listening\\n";
while (defined recv($socket, my $words, 4096, 0)) { print "$words\\n"; }
`;

export type NotifySocket = { readonly path: string; readonly heard: readonly string[] };

/** Listens until the test is over. */
export async function notifySocket(): Promise<NotifySocket> {
  const path = join(testFolder(), "notify");
  const child: ChildProcess = spawn("perl", ["-e", LISTENER, path], { stdio: ["ignore", "pipe", "inherit"] });
  onTestFinished(() => {
    child.kill();
  });
  const heard: string[] = [];
  await new Promise<void>((resolve, reject) => {
    child.once("error", reject);
    child.once("exit", (status) => reject(new Error(`the listener ended with ${status}`)));
    createInterface({ input: child.stdout! }).on("line", (line) => {
      if (line === "listening") resolve();
      else if (line !== "") heard.push(line);
    });
  });
  return { path, heard };
}
