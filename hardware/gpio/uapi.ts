// The binary interface of Linux' GPIO character device, version 2 (Linux 5.10), as `include/uapi/linux/gpio.h` lays it out:
// bytes in, bytes out. Pure. The kernel makes these structures alike on 32 and 64 bits, little-endian on every board here.

/** Requests of ioctl(2): direction, size of the structure, `0xB4`, number (`_IOR`, `_IOWR` of asm-generic/ioctl.h). */
export const IOCTL = {
  GET_CHIPINFO: 0x8044_b401,
  GET_LINEINFO: 0xc100_b405,
  GET_LINE: 0xc250_b407,
  LINE_SET_CONFIG: 0xc110_b40d,
  LINE_GET_VALUES: 0xc010_b40e,
  LINE_SET_VALUES: 0xc010_b40f,
} as const;

/** `enum gpio_v2_line_flag`. */
export const FLAG = {
  USED: 1 << 0,
  ACTIVE_LOW: 1 << 1,
  INPUT: 1 << 2,
  OUTPUT: 1 << 3,
  EDGE_FALLING: 1 << 5,
  BIAS_PULL_UP: 1 << 8,
  BIAS_PULL_DOWN: 1 << 9,
  BIAS_DISABLED: 1 << 10,
} as const;

/** Bytes of each structure. */
export const SIZE = { chipInfo: 68, lineInfo: 256, request: 592, config: 272, values: 16, event: 48 } as const;

/** The most events the kernel keeps for one line (`GPIO_V2_LINES_MAX` × 16). */
export const MOST_EVENTS = 1024;

/** Longest name, its ending zero byte included. */
const NAME_BYTES = 32;

/** `struct gpiochip_info`: the kernel's name of the chip (`gpiochip0`), its label, how many lines it has. */
export type ChipInfo = { readonly name: string; readonly label: string; readonly lines: number };

/** Name, label and number of lines. */
export function decodeChipInfo(bytes: Uint8Array): ChipInfo {
  return { name: text(bytes, 0), label: text(bytes, 32), lines: view(bytes).getUint32(64, true) };
}

/** `struct gpio_v2_line_info`: null where a line has no name or nobody holds it. */
export type LineInfo = { readonly name: string | null; readonly consumer: string | null; readonly flags: number };

/** What goes in when a line is asked about. */
export function encodeLineInfo(offset: number): Uint8Array {
  const bytes = new Uint8Array(SIZE.lineInfo);
  view(bytes).setUint32(64, offset, true);
  return bytes;
}

/** Who holds a line and how it is set. */
export function decodeLineInfo(bytes: Uint8Array): LineInfo {
  const flags = view(bytes).getUint32(72, true);
  const [name, consumer] = [text(bytes, 0), text(bytes, 32)];
  return { name: name || null, consumer: (flags & FLAG.USED) === 0 ? null : consumer || "someone", flags };
}

/** `struct gpio_v2_line_request` for one line; an output begins low, for no attribute says otherwise. */
export function encodeRequest(offset: number, consumer: string, flags: number): Uint8Array {
  const bytes = new Uint8Array(SIZE.request);
  const fields = view(bytes);
  fields.setUint32(0, offset, true);
  bytes.set(new TextEncoder().encode(consumer).subarray(0, NAME_BYTES - 1), 256);
  bytes.set(encodeConfig(flags), 288);
  fields.setUint32(560, 1, true);
  fields.setUint32(564, MOST_EVENTS, true);
  return bytes;
}

/** The file descriptor that the kernel put into the request. */
export function fileOfRequest(bytes: Uint8Array): number {
  return view(bytes).getInt32(588, true);
}

/** `struct gpio_v2_line_config`: flags without further attributes. */
export function encodeConfig(flags: number): Uint8Array {
  const bytes = new Uint8Array(SIZE.config);
  view(bytes).setUint32(0, flags, true);
  return bytes;
}

/** `struct gpio_v2_line_values` of the one line. */
export function encodeValues(level: 0 | 1): Uint8Array {
  const bytes = new Uint8Array(SIZE.values);
  bytes[0] = level;
  bytes[8] = 1;
  return bytes;
}

/** The level of the one line that was asked for. */
export function decodeValues(bytes: Uint8Array): 0 | 1 {
  return ((bytes[0] ?? 0) & 1) === 1 ? 1 : 0;
}

/** `struct gpio_v2_line_event`: CLOCK_MONOTONIC when the interrupt came, and the number of the line's event, lost ones counted. */
export type LineEvent = { readonly atSeconds: number; readonly sequence: number };

/** All whole events of what was read. */
export function* decodeEvents(bytes: Uint8Array): Generator<LineEvent> {
  const fields = view(bytes);
  for (let at = 0; at + SIZE.event <= bytes.byteLength; at += SIZE.event) {
    const nanoseconds = fields.getBigUint64(at, true);
    yield { atSeconds: Number(nanoseconds) / 1e9, sequence: fields.getUint32(at + 20, true) };
  }
}

/** Events lost between two sequence numbers, which count up and wrap at 32 bits. */
export function lostBetween(before: number, after: number): number {
  return (after - before - 1) >>> 0;
}

function view(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function text(bytes: Uint8Array, from: number): string {
  const field = bytes.subarray(from, from + NAME_BYTES);
  const end = field.indexOf(0);
  return new TextDecoder().decode(end < 0 ? field : field.subarray(0, end));
}
