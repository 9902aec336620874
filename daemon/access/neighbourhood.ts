// Which addresses count as one, wherever something is bounded for each address. It believes what it is told.

/** One person commands a whole /64 of IPv6 (RFC 6177), so it counts as one address. */
export function neighbourhood(address: string): string {
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1];
  if (mapped !== undefined) return mapped;
  if (!address.includes(":")) return address;
  const [head = "", tail] = address.split("::", 2);
  const groups = head === "" ? [] : head.split(":");
  const after = tail === undefined || tail === "" ? [] : tail.split(":");
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - groups.length - after.length);
  return [...groups, ...Array<string>(zeros).fill("0"), ...after].slice(0, 4).join(":");
}
