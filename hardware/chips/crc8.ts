// The two 8-bit checksums that sensors send with their data. Pure; it judges nothing.

/**
 * CRC-8 of Sensirion's sensors: polynomial x⁸+x⁵+x⁴+1 (31h), most significant bit first, starting at FFh
 * (data sheet SHT3x-DIS, "Checksum calculation": BEEFh gives 92h).
 */
export function sensirionCrc8(bytes: Uint8Array): number {
  let crc = 0xff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = ((crc << 1) ^ (crc & 0x80 ? 0x31 : 0)) & 0xff;
  }
  return crc;
}

/**
 * CRC-8 of 1-Wire devices: x⁸+x⁵+x⁴+1, least significant bit first, starting at 0
 * (Analog Devices application note 27, "Understanding and using cyclic redundancy checks").
 */
export function oneWireCrc8(bytes: Uint8Array): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc >> 1) ^ (crc & 1 ? 0x8c : 0);
  }
  return crc;
}
