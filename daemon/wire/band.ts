// The amateur band a frequency lies in, by the name the trade writes. Edges are the widest of the three ITU regions
// (Radio Regulations, Article 5), so that a name is found wherever the station stands; no licence is implied.

/** Name and edges in hertz, lowest first. */
export const BANDS: readonly (readonly [name: string, fromHertz: number, toHertz: number])[] = [
  ["160 m", 1_800_000, 2_000_000],
  ["80 m", 3_500_000, 4_000_000],
  ["60 m", 5_250_000, 5_450_000],
  ["40 m", 7_000_000, 7_300_000],
  ["30 m", 10_100_000, 10_150_000],
  ["20 m", 14_000_000, 14_350_000],
  ["17 m", 18_068_000, 18_168_000],
  ["15 m", 21_000_000, 21_450_000],
  ["12 m", 24_890_000, 24_990_000],
  ["10 m", 28_000_000, 29_700_000],
  ["6 m", 50_000_000, 54_000_000],
];

/** Name of the band, or null outside every band. */
export function bandOf(frequencyHertz: number): string | null {
  return BANDS.find(([, from, to]) => frequencyHertz >= from && frequencyHertz <= to)?.[0] ?? null;
}
