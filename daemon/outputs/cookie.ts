// The session's cookie (RFC 6265bis): out with every fence there is, in by its exact name. It knows no session.

/** With TLS the browser itself sees to it that no other host and no plain connection can set or read it. */
const nameOf = (secure: boolean): string => (secure ? "__Host-emberwire" : "emberwire");

const VALUE = /^[A-Za-z0-9_-]{43}$/;

/** The session's id from a Cookie header; null when there is none, or more than one to choose from. */
export function readSession(header: string | undefined, secure: boolean): string | null {
  const name = nameOf(secure);
  const values = (header ?? "").split(";").flatMap((pair) => {
    const at = pair.indexOf("=");
    return at > 0 && pair.slice(0, at).trim() === name ? [pair.slice(at + 1).trim()] : [];
  });
  const [value] = values;
  return values.length === 1 && value !== undefined && VALUE.test(value) ? value : null;
}

/** The Set-Cookie of a login, or with null of a logout. It ends with the browser's session or by the daemon's own count. */
export function sessionCookie(secret: string | null, secure: boolean): string {
  const fences = `Path=/; HttpOnly; SameSite=Strict${secure ? "; Secure" : ""}`;
  return secret === null ? `${nameOf(secure)}=; Max-Age=0; ${fences}` : `${nameOf(secure)}=${secret}; ${fences}`;
}
