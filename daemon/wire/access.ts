// Who the daemon takes this page's reader for, and what they may. A leaf that imports nothing.

export type Role = "operator" | "viewer";
export const ROLES: readonly Role[] = ["operator", "viewer"];

/** Of a password, in UTF-16 code units. */
export const LONGEST_PASSWORD = 256;

export type Access = {
  /** The role of the login; null without one. */
  readonly logged_in: Role | null;
  readonly may: { readonly read: boolean; readonly acknowledge: boolean; readonly operate: boolean };
  /** Which passwords are set. */
  readonly operator_password: boolean;
  readonly viewer_password: boolean;
  /** The file with the passwords cannot be read: nobody gets in. */
  readonly locked: boolean;
  /** False where a password would travel in the clear. */
  readonly encrypted: boolean;
  /** On the feedpoint's own machine, or through a tunnel to it. */
  readonly local: boolean;
};
