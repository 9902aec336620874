// Node's compression module with the one function that the guest's Node 20.11 is too old for (added in 20.15).
// CRC-32 of ITU-T V.42 and RFC 1952, section 8: reflected polynomial EDB88320, as `node:zlib` computes it.

export * from "node:zlib";

const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit += 1) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value;
});

export function crc32(data, before = 0) {
  let value = ~before;
  for (const byte of typeof data === "string" ? Buffer.from(data) : data) {
    value = TABLE[(value ^ byte) & 0xff] ^ (value >>> 8);
  }
  return ~value >>> 0;
}
