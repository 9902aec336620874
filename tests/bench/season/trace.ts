// What a traced process did to files: reads the lines of `strace -f -y -xx` and says, in order, which bytes were written where, what
// was forced to the medium, and what the process told on its standard output. It knows nothing of databases.

export type Act =
  | { readonly kind: "write"; readonly file: string; readonly offset: number; readonly bytes: Buffer }
  | { readonly kind: "truncate"; readonly file: string; readonly size: number }
  | { readonly kind: "force"; readonly file: string }
  | { readonly kind: "create"; readonly file: string }
  | { readonly kind: "remove"; readonly file: string }
  | { readonly kind: "told"; readonly text: string };

const unhex = (text: string): Buffer => Buffer.from(text.replaceAll("\\x", ""), "hex");
const pathIn = (text: string): string => unhex(text).toString("utf8");

/** Hex or plain: strace escapes a path only with -xx. */
const decodePath = (text: string): string => (text.startsWith("\\x") ? pathIn(text) : text);

/** Acts in the order of the trace. @throws Error on a line of a known call that it cannot read */
export function readTrace(text: string): Act[] {
  const acts: Act[] = [];
  const begun = new Map<string, string>();
  for (const raw of text.split("\n")) {
    const match = /^(?:\[pid +)?(\d+)\]? +(.*)$/.exec(raw);
    if (match === null) continue;
    const [, pid, rest] = match as unknown as [string, string, string];
    if (rest.endsWith("<unfinished ...>")) {
      begun.set(pid, rest.slice(0, -"<unfinished ...>".length));
      continue;
    }
    const resumed = /^<\.\.\. \w+ resumed>(.*)$/.exec(rest);
    const act = actOf(resumed === null ? rest : `${begun.get(pid) ?? ""}${resumed[1]}`);
    if (act !== null) acts.push(act);
  }
  return acts;
}

function actOf(call: string): Act | null {
  const name = /^(\w+)\(/.exec(call)?.[1];
  const failed = / = -1 /.test(call);
  if (name === undefined || failed) return null;
  switch (name) {
    case "pwrite64": {
      const found = /^pwrite64\(\d+<([^>]*)>, "([^"]*)", \d+, (\d+)\) += (\d+)/.exec(call);
      if (found === null) throw new Error(`trace: ${call.slice(0, 80)}`);
      const bytes = unhex(found[2]!).subarray(0, Number(found[4]));
      return { kind: "write", file: decodePath(found[1]!), offset: Number(found[3]), bytes };
    }
    case "write": {
      const found = /^write\(1<[^>]*>, "([^"]*)"/.exec(call);
      return found === null ? null : { kind: "told", text: unhex(found[1]!).toString("utf8") };
    }
    case "fsync":
    case "fdatasync": {
      const found = /^\w+\(\d+<([^>]*)>\)/.exec(call);
      return found === null ? null : { kind: "force", file: decodePath(found[1]!) };
    }
    case "ftruncate": {
      const found = /^ftruncate\(\d+<([^>]*)>, (\d+)\)/.exec(call);
      return found === null ? null : { kind: "truncate", file: decodePath(found[1]!), size: Number(found[2]) };
    }
    case "openat": {
      const found = /^openat\([^,]*, "([^"]*)", [^)]*O_CREAT/.exec(call);
      return found === null ? null : { kind: "create", file: decodePath(found[1]!) };
    }
    case "unlink": {
      const found = /^unlink\("([^"]*)"\)/.exec(call);
      return found === null ? null : { kind: "remove", file: decodePath(found[1]!) };
    }
    default:
      return null;
  }
}
