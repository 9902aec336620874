// Who is logged in: sessions by the hash of their id, bounded, with an end for each. They outlive a restart of the thread and of
// the daemon, not one of the machine, whose monotonic clock they are dated by. It knows no password and sends no cookie.

import type { Clock } from "../../hardware/ports.ts";
import type { Role } from "../wire/access.ts";
import { type Draw, drawSecret, hashSecret } from "./token.ts";

/** One login. */
export type Session = {
  readonly hash: string;
  readonly role: Role;
  /** The sealed password it was opened with: with another password it ends. */
  readonly sealed: string;
  readonly from: string;
  readonly openedSeconds: number;
  /** When it was last used. */
  readonly usedSeconds: number;
};

/** Unused for so long it ends: a contest's night with an open page does not log out, a forgotten phone does. */
export const IDLE_SECONDS = 12 * 3600;
/** The longest life, used or not. NIST SP 800-63B, AAL1, allows 30 days. */
export const LONGEST_SECONDS = 7 * 86_400;
export const MOST_SESSIONS = 32;
/** A use is written to the disk no more often: cards wear. */
const KEEP_USE_SECONDS = 1800;

export type SessionsOptions = {
  /** The machine's clock. */
  readonly clock: Clock;
  readonly draw: Draw;
  /** What was kept, and its keeper; neither may throw. */
  readonly load: () => string | null;
  readonly keep: (text: string) => void;
};

export class Sessions {
  readonly #options: SessionsOptions;
  readonly #open = new Map<string, Session>();
  /** Use of each session as it is on the disk. */
  readonly #kept = new Map<string, number>();

  constructor(options: SessionsOptions) {
    this.#options = options;
    for (const session of this.#loaded()) {
      this.#open.set(session.hash, session);
      this.#kept.set(session.hash, session.usedSeconds);
    }
  }

  get size(): number {
    return this.#open.size;
  }

  /** A new session with a new id, which is returned and kept nowhere. The one unused longest gives way when all places are taken. */
  open(role: Role, sealed: string, from: string): string {
    const secret = drawSecret(this.#options.draw);
    const now = this.#options.clock.monotonicSeconds();
    const hash = hashSecret(secret) ?? "";
    this.#endOld(now);
    while (this.#open.size >= MOST_SESSIONS) this.#open.delete(this.#longestUnused());
    this.#open.set(hash, { hash, role, sealed, from, openedSeconds: now, usedSeconds: now });
    this.#keep();
    return secret;
  }

  /** The living session of this id, which counts as used now. */
  use(secret: string): Session | null {
    const session = this.#open.get(hashSecret(secret) ?? "") ?? null;
    const now = this.#options.clock.monotonicSeconds();
    if (session === null || !isAlive(session, now)) return null;
    const used = { ...session, usedSeconds: now };
    this.#open.set(session.hash, used);
    if (now - (this.#kept.get(session.hash) ?? now) > KEEP_USE_SECONDS) this.#keep();
    return used;
  }

  close(secret: string): void {
    if (this.#open.delete(hashSecret(secret) ?? "")) this.#keep();
  }

  /** Ends all that `stays` does not hold for. Returns how many ended. */
  closeUnless(stays: (session: Session) => boolean): number {
    const ending = [...this.#open.values()].filter((session) => !stays(session));
    for (const { hash } of ending) this.#open.delete(hash);
    if (ending.length > 0) this.#keep();
    return ending.length;
  }

  #endOld(now: number): void {
    for (const [hash, session] of this.#open) if (!isAlive(session, now)) this.#open.delete(hash);
  }

  #longestUnused(): string {
    const [first] = [...this.#open.values()].sort((a, b) => a.usedSeconds - b.usedSeconds);
    return first?.hash ?? "";
  }

  #keep(): void {
    this.#kept.clear();
    for (const { hash, usedSeconds } of this.#open.values()) this.#kept.set(hash, usedSeconds);
    const { clock, keep } = this.#options;
    keep(`${JSON.stringify({ boot_id: clock.bootId, sessions: [...this.#open.values()] })}\n`);
  }

  /** Nothing of another boot, nothing that is spoilt, nothing from the future. */
  #loaded(): readonly Session[] {
    const { clock, load } = this.#options;
    const now = clock.monotonicSeconds();
    try {
      const { boot_id, sessions } = JSON.parse(load() ?? "{}") as { boot_id?: unknown; sessions?: unknown };
      if (boot_id !== clock.bootId || !Array.isArray(sessions)) return [];
      return sessions.slice(0, MOST_SESSIONS).filter((session) => isSession(session) && isAlive(session, now));
    } catch {
      return [];
    }
  }
}

function isAlive({ openedSeconds, usedSeconds }: Session, now: number): boolean {
  const used = now - usedSeconds;
  const age = now - openedSeconds;
  return used >= 0 && used < IDLE_SECONDS && age >= used && age < LONGEST_SECONDS;
}

function isSession(value: unknown): value is Session {
  const { hash, role, sealed, from, openedSeconds, usedSeconds } = (value ?? {}) as {
    [key in keyof Session]?: unknown;
  };
  return (
    typeof hash === "string" &&
    (role === "operator" || role === "viewer") &&
    typeof sealed === "string" &&
    typeof from === "string" &&
    typeof openedSeconds === "number" &&
    typeof usedSeconds === "number"
  );
}
