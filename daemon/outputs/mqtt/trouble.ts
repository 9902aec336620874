// Why a broker cannot be used, in words that say what to change: reason codes of MQTT 5, codes of TLS and of the network.
// It names no host, user or file, so that the words may stand on a page.

/** Reason codes of the MQTT 5.0 OASIS standard, section 2.4, that an operator can do something about. */
const REASONS: Readonly<Record<number, string>> = {
  1: "it does not speak MQTT 5",
  128: "it refuses, and does not say why",
  132: "it does not speak MQTT 5",
  133: "it refuses the client's name",
  134: "it refuses the user or the password",
  135: "it does not permit this user to do that",
  136: "it is not available now",
  137: "it is busy",
  138: "it has banned this client",
  139: "it is shutting down",
  141: "it did not hear from here in time",
  142: "another client took over under the same name: is one id used by two feedpoints?",
  149: "it takes no packets of this size",
  151: "its quota is used up",
  154: "it keeps no retained messages, which are needed here",
  155: "it does not take messages that are to be acknowledged (QoS 1)",
};

/** Codes of Node's TLS (OpenSSL's verification results) and of the network. */
const CODES: Readonly<Record<string, string>> = {
  SELF_SIGNED_CERT_IN_CHAIN:
    "its certificate is not signed by a known authority: give that authority's file as ca_file",
  DEPTH_ZERO_SELF_SIGNED_CERT: "its certificate is not signed by a known authority: give its file as ca_file",
  UNABLE_TO_VERIFY_LEAF_SIGNATURE:
    "its certificate is not signed by a known authority: give that authority's file as ca_file",
  UNABLE_TO_GET_ISSUER_CERT_LOCALLY:
    "its certificate is not signed by a known authority: give that authority's file as ca_file",
  CERT_SIGNATURE_FAILURE: "its certificate was not signed by the authority in ca_file",
  CERT_HAS_EXPIRED: "its certificate has expired (or this machine's clock is wrong)",
  CERT_NOT_YET_VALID: "its certificate is not valid yet (or this machine's clock is wrong)",
  ERR_TLS_CERT_ALTNAME_INVALID: "its certificate is for another host name than the one configured",
  ECONNREFUSED: "nothing listens at its address",
  ECONNRESET: "it broke the connection (does it speak TLS there, and are both sides agreed on that?)",
  EPIPE: "it broke the connection",
  ENOTFOUND: "its host name cannot be found",
  EAI_AGAIN: "its host name cannot be looked up now",
  EHOSTUNREACH: "its host cannot be reached",
  ENETUNREACH: "there is no network to it",
  ETIMEDOUT: "it does not answer",
  EPROTO: "it does not speak TLS at that port",
  ERR_SSL_WRONG_VERSION_NUMBER: "it does not speak TLS at that port",
};

export type Refusal = Error & { readonly code?: string | number };

/** One clause about the broker. */
export function troubleOf(error: unknown): string {
  const { code, message } = error instanceof Error ? (error as Refusal) : { code: undefined, message: String(error) };
  const known = typeof code === "number" ? REASONS[code] : code === undefined ? undefined : CODES[code];
  if (known !== undefined) return known;
  if (/connack timeout/i.test(message)) return "it does not answer";
  if (/keepalive timeout/i.test(message)) return "it went silent";
  return typeof code === "number" ? `it refuses with reason code ${code}` : `${code ?? "the connection failed"}`;
}

/** The broker said no, with a reason code. */
export function isRefusal(error: unknown): boolean {
  return error instanceof Error && typeof (error as { readonly code?: unknown }).code === "number";
}
