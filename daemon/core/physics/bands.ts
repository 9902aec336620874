// Amateur bands from 160 m to 6 m as the trade writes them, with their edges by ITU region.
// It never says what a licence permits: national edges, modes and powers differ and come first.
import { within } from "./physics-error.ts";

/** ITU region: 1 Europe, Africa, Middle East, northern Asia; 2 the Americas; 3 the rest of Asia and Oceania. */
export type Region = 1 | 2 | 3;

/** Band edges, Hz. */
export type BandEdges = { readonly lowHertz: number; readonly highHertz: number };

/** One band; `edges` by region in order 1, 2, 3. */
export type Band = { readonly name: string; readonly edges: readonly [BandEdges, BandEdges, BandEdges] };

const edges = (lowMegahertz: number, highMegahertz: number): BandEdges => ({
  lowHertz: Math.round(lowMegahertz * 1e6),
  highHertz: Math.round(highMegahertz * 1e6),
});

const everywhere = (name: string, lowMegahertz: number, highMegahertz: number): Band => {
  const same = edges(lowMegahertz, highMegahertz);
  return { name, edges: [same, same, same] };
};

/**
 * ITU Radio Regulations, article 5, table of frequency allocations, amateur service (from memory; IARU band plans agree).
 * 160 m in region 1 is 1.81–1.85 MHz in the table and widened to 2 MHz by footnotes in many countries: the wide edge
 * stands here. 60 m is the 15 kHz of WRC-15. 6 m in region 1 is 50–52 MHz by WRC-19, with wider national use.
 */
export const BANDS: readonly Band[] = [
  { name: "160 m", edges: [edges(1.81, 2), edges(1.8, 2), edges(1.8, 2)] },
  { name: "80 m", edges: [edges(3.5, 3.8), edges(3.5, 4), edges(3.5, 3.9)] },
  everywhere("60 m", 5.3515, 5.3665),
  { name: "40 m", edges: [edges(7, 7.2), edges(7, 7.3), edges(7, 7.2)] },
  everywhere("30 m", 10.1, 10.15),
  everywhere("20 m", 14, 14.35),
  everywhere("17 m", 18.068, 18.168),
  everywhere("15 m", 21, 21.45),
  everywhere("12 m", 24.89, 24.99),
  everywhere("10 m", 28, 29.7),
  { name: "6 m", edges: [edges(50, 52), edges(50, 54), edges(50, 54)] },
];

/** Edges of a band: of one region, or the widest of all three when none is given. */
export function bandEdges(band: Band, region?: Region): BandEdges {
  if (region !== undefined) return band.edges[region - 1]!;
  return {
    lowHertz: Math.min(...band.edges.map((edge) => edge.lowHertz)),
    highHertz: Math.max(...band.edges.map((edge) => edge.highHertz)),
  };
}

/** The band a frequency lies in, or undefined between bands. */
export function bandOf(frequencyHertz: number, region?: Region): Band | undefined {
  within("frequency in Hz", frequencyHertz, 0, 1e12);
  return BANDS.find((band) => {
    const { lowHertz, highHertz } = bandEdges(band, region);
    return frequencyHertz >= lowHertz && frequencyHertz <= highHertz;
  });
}

/** The band called `name`, with or without the space: "80 m", "80m". */
export function bandNamed(name: string): Band | undefined {
  const plain = name.replace(/\s/g, "").toLowerCase();
  return BANDS.find((band) => band.name.replace(" ", "") === plain);
}

/** Middle of a band, Hz: where a band stands for one frequency. */
export function bandCentreHertz(band: Band, region?: Region): number {
  const { lowHertz, highHertz } = bandEdges(band, region);
  return (lowHertz + highHertz) / 2;
}
