// Colour as WCAG 2.2 measures it: relative luminance and contrast ratio of `#rrggbb`. Independent of the page's own code.

/** Relative luminance 0–1 (WCAG 2.2, "relative luminance"; transfer curve of IEC 61966-2-1). */
export function luminance(hex: string): number {
  const parts = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(hex);
  if (parts === null) throw new RangeError(`expected #rrggbb, got ${hex}`);
  const [red, green, blue] = parts.slice(1).map((byte) => {
    const channel = Number.parseInt(byte, 16) / 255;
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * (red ?? 0) + 0.7152 * (green ?? 0) + 0.0722 * (blue ?? 0);
}

/** Contrast ratio 1–21 (WCAG 2.2, "contrast ratio"). */
export function contrastRatio(left: string, right: string): number {
  const [lighter, darker] = [luminance(left), luminance(right)].sort((a, b) => b - a);
  return ((lighter ?? 0) + 0.05) / ((darker ?? 0) + 0.05);
}
