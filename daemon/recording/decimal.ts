// Decimal numbers as recordings hold them, read and written by the million: the common forms by hand, the rest by the language.
// It takes exactly the decimal forms, never what else a language calls a number (hexadecimal, blanks, "Infinity").

const DECIMAL = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

const [DOT, MINUS, ZERO, NINE] = [46, 45, 48, 57];
/** Powers of ten up to here, and whole numbers of so many digits, are exact in a double; their quotient is rounded once. */
const POWERS = Array.from({ length: 16 }, (_, power) => 10 ** power);
const MOST_DIGITS = 15;

/** The number `text` is, correctly rounded; NaN when it is none. */
export function parseDecimal(text: string): number {
  const negative = text.charCodeAt(0) === MINUS;
  let mantissa = 0;
  let digits = 0;
  let decimals = -1;
  for (let at = negative ? 1 : 0; at < text.length; at += 1) {
    const code = text.charCodeAt(at);
    if (code >= ZERO && code <= NINE) {
      mantissa = 10 * mantissa + (code - ZERO);
      digits += 1;
      if (decimals >= 0) decimals += 1;
    } else if (code === DOT && decimals < 0) decimals = 0;
    else return parseRare(text);
  }
  if (digits === 0 || digits > MOST_DIGITS) return parseRare(text);
  const value = decimals > 0 ? mantissa / POWERS[decimals]! : mantissa;
  return negative ? -value : value;
}

/** Exponents, a plus sign, very many digits, or no number at all. */
function parseRare(text: string): number {
  return DECIMAL.test(text) ? Number(text) : Number.NaN;
}

/** `value` to at most `decimals` places, without zeros at the end; nothing for what is no finite number. */
export function formatDecimal(value: number | null, decimals: number): string {
  if (value === null || !Number.isFinite(value)) return "";
  const scale = POWERS[decimals]!;
  const scaled = Math.round(Math.abs(value) * scale);
  if (scaled > Number.MAX_SAFE_INTEGER) return String(value);
  const whole = Math.floor(scaled / scale);
  let rest = scaled - whole * scale;
  const sign = value < 0 && scaled !== 0 ? "-" : "";
  if (rest === 0) return sign + whole;
  let places = decimals;
  while (rest % 10 === 0) {
    rest /= 10;
    places -= 1;
  }
  const tail = String(rest);
  return `${sign}${whole}.${ZEROS[places - tail.length]}${tail}`;
}

const ZEROS = Array.from({ length: 16 }, (_, count) => "0".repeat(count));
