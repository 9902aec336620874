// The gate of the page: says of each caller what they may, lets people log in and out, and follows the register on the disk, so
// that a changed password or a withdrawn token counts within seconds. It knows no HTTP.

import type { Cancel, Clock } from "../../hardware/ports.ts";
import type { Role } from "../wire/access.ts";
import {
  ALL_RIGHTS,
  type Caller,
  type Credentials,
  NO_RIGHTS,
  READING,
  RIGHTS_OF_ROLE,
  type Right,
  type Standing,
} from "./caller.ts";
import { AttemptLimiter } from "./limiter.ts";
import { decoySeal, fitsPassword } from "./password.ts";
import { fingerprint, readPrivate, writePrivate } from "./private-file.ts";
import { Refusals } from "./refusals.ts";
import { EMPTY_REGISTER, type Register, readRegister } from "./register.ts";
import { type Session, Sessions } from "./sessions.ts";
import { type Draw, drawSecret, hashSecret, type StoredToken, sameHash } from "./token.ts";
import { Crowded, Turnstile } from "./turnstile.ts";

/** Where the gate keeps what it knows; see `accessFiles`. */
export type GateFiles = { readonly register: string; readonly sessions: string; readonly localKey: string };

export type GateOptions = {
  /** The machine's clock. */
  readonly clock: Clock;
  readonly draw: Draw;
  readonly files: GateFiles;
  /** A line for the record; `by` is null where nobody did it. */
  readonly note: (tag: string, text: string, by: string | null) => void;
};

export type Login =
  | { readonly kind: "in"; readonly secret: string; readonly role: Role }
  | { readonly kind: "wrong" }
  | { readonly kind: "wait"; readonly seconds: number }
  | { readonly kind: "busy" };

/** The register is looked at this often, s. */
const LOOK_SECONDS = 2;
/** Logins that may wait while one is computed. */
const MOST_WAITING = 4;

export class Gate {
  readonly #options: GateOptions;
  readonly #sessions: Sessions;
  readonly #limiter = new AttemptLimiter();
  readonly #turnstile = new Turnstile(MOST_WAITING);
  readonly #refusals: Refusals;
  readonly #decoy: string;
  readonly #localHash: string;
  /** What was last said of each file that gives trouble. */
  readonly #troubles = new Map<string, string>();
  /** Null when it cannot be read: then nobody gets in by it. */
  #register: Register | null = EMPTY_REGISTER;
  #seen: string | null = null;
  #looking: Cancel | null = null;
  #changed: () => void = () => {};

  constructor(options: GateOptions) {
    const { clock, draw, files, note } = options;
    this.#options = options;
    this.#decoy = decoySeal(draw);
    this.#refusals = new Refusals(clock, (text) => note("login-refused", text, null));
    this.#sessions = new Sessions({
      clock,
      draw,
      load: () => this.#attempt("sessions", () => readPrivate(files.sessions)) ?? null,
      keep: (text) => this.#attempt("sessions", () => writePrivate(files.sessions, text)),
    });
    const key = drawSecret(draw);
    this.#localHash = hashSecret(key) ?? "";
    this.#attempt("local key", () => writePrivate(files.localKey, `${key}\n`));
    this.#look();
  }

  get standing(): Standing {
    const register = this.#register;
    return {
      operator: (register?.operator ?? null) !== null,
      viewer: (register?.viewer ?? null) !== null,
      locked: register === null,
    };
  }

  /** Called when somebody who was let in may be so no longer. */
  onChange(changed: () => void): void {
    this.#changed = changed;
  }

  /** What this caller may; a session counts as used. */
  caller({ address, local, near, session, bearer }: Credentials): Caller {
    const nobody: Caller = { who: "guest", address, rights: NO_RIGHTS, role: null, refused: false };
    if (bearer !== null) {
      const hash = hashSecret(bearer);
      if (hash !== null && near && sameHash(hash, this.#localHash)) {
        return { ...nobody, who: "local command", rights: ALL_RIGHTS };
      }
      const token = hash === null ? null : this.#tokenOf(hash);
      if (token === null) return { ...nobody, refused: true };
      return { ...nobody, who: `token ${token.name}`, rights: new Set<Right>(token.scopes) };
    }
    const login = session === null ? null : this.#login(session);
    if (login !== null) return { ...nobody, who: login.role, role: login.role, rights: RIGHTS_OF_ROLE[login.role] };
    const register = this.#register;
    if (register === null) return nobody;
    // Until there is a password, who sits at the machine is its operator.
    if (register.operator === null && local) return { ...nobody, who: "operator", rights: ALL_RIGHTS };
    return register.viewer === null ? { ...nobody, rights: READING } : nobody;
  }

  /** Opens a session when the password is right. An unset password is answered as a wrong one, after the same work. */
  async login(
    role: Role,
    password: string,
    { address, local }: Pick<Credentials, "address" | "local">,
  ): Promise<Login> {
    this.#look();
    const { clock, note } = this.#options;
    const seconds = this.#limiter.take(address, clock.monotonicSeconds(), local);
    if (seconds > 0) return { kind: "wait", seconds };
    const sealed = this.#register?.[role] ?? null;
    let fits: boolean;
    try {
      fits = await this.#turnstile.pass(() => fitsPassword(password, sealed ?? this.#decoy));
    } catch (error) {
      this.#limiter.giveBack(address, local);
      if (error instanceof Crowded) return { kind: "busy" };
      throw error;
    }
    // It may have been changed while this was computed.
    if (!fits || sealed === null || this.#register?.[role] !== sealed) {
      this.#refusals.add(`a wrong ${role} password from ${address}`);
      return { kind: "wrong" };
    }
    this.#limiter.giveBack(address, local);
    const secret = this.#sessions.open(role, sealed, address);
    note("login", `the ${role} logged in (from ${address})`, role);
    return { kind: "in", secret, role };
  }

  /** Ends this session, or with `everywhere` all of its role. */
  logout(secret: string, everywhere: boolean, address: string): void {
    const login = this.#login(secret);
    if (login === null) return;
    if (everywhere) this.#sessions.closeUnless(({ role }) => role !== login.role);
    else this.#sessions.close(secret);
    this.#options.note(
      "logout",
      `the ${login.role} logged out${everywhere ? " everywhere" : ""} (from ${address})`,
      login.role,
    );
    this.#changed();
  }

  close(): void {
    this.#looking?.();
    this.#refusals.close();
  }

  #login(secret: string): Session | null {
    const session = this.#sessions.use(secret);
    return session !== null && this.#register?.[session.role] === session.sealed ? session : null;
  }

  #tokenOf(hash: string): StoredToken | null {
    let found: StoredToken | null = null;
    // All of them, so that the time does not tell which one was close.
    for (const token of this.#register?.tokens ?? []) if (sameHash(token.hash, hash)) found = token;
    return found;
  }

  /** Reads the register again if it has changed. */
  #look(): void {
    this.#looking?.();
    const { clock, files } = this.#options;
    this.#looking = clock.after(LOOK_SECONDS, () => this.#look());
    const seen = this.#attempt("register's file", () => fingerprint(files.register));
    if (seen === this.#seen && this.#register !== null) return;
    const register = seen === undefined ? undefined : this.#attempt("register", () => readRegister(files.register));
    this.#seen = seen ?? null;
    this.#register = register ?? null;
    if (register !== undefined) this.#sessions.closeUnless(({ role, sealed }) => register[role] === sealed);
    this.#changed();
  }

  /** The outcome, or undefined and a line in the record, once for each trouble. */
  #attempt<Outcome>(what: string, work: () => Outcome): Outcome | undefined {
    try {
      const outcome = work();
      this.#troubles.delete(what);
      return outcome;
    } catch (error) {
      const text = error instanceof Error ? error.message : String(error);
      if (this.#troubles.get(what) !== text) this.#options.note("access-file", `${what}: ${text}`, null);
      this.#troubles.set(what, text);
      return undefined;
    }
  }
}
