// Who asks, and what they may: plain data and the one table of rights. It checks no secret.

import type { Role } from "../wire/access.ts";

/** Look, acknowledge an alarm, everything else that changes something. */
const RIGHTS = ["read", "acknowledge", "operate"] as const;
export type Right = (typeof RIGHTS)[number];

/** What came with a request; none of it has been believed yet. */
export type Credentials = {
  readonly address: string;
  /** From this machine itself, with no proxy in between. */
  readonly local: boolean;
  /** From this machine itself, as far as can be told where a proxy runs on it too: enough for who holds the local key. */
  readonly near: boolean;
  readonly session: string | null;
  readonly bearer: string | null;
};

export type Caller = {
  /** For the record: `operator`, `token NAME`, `local command`. */
  readonly who: string;
  readonly address: string;
  readonly rights: ReadonlySet<Right>;
  /** The role of a login; null for everybody else. */
  readonly role: Role | null;
  /** A token came that is not known. */
  readonly refused: boolean;
};

export const RIGHTS_OF_ROLE: Readonly<Record<Role, ReadonlySet<Right>>> = {
  operator: new Set(RIGHTS),
  viewer: new Set(["read"]),
};
export const ALL_RIGHTS: ReadonlySet<Right> = RIGHTS_OF_ROLE.operator;
export const READING: ReadonlySet<Right> = RIGHTS_OF_ROLE.viewer;
export const NO_RIGHTS: ReadonlySet<Right> = new Set();

/** Which passwords are set; `locked` when the register cannot be read, and then nobody gets in by it. */
export type Standing = { readonly operator: boolean; readonly viewer: boolean; readonly locked: boolean };
