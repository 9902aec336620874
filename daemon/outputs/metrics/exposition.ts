// Metric families as text: OpenMetrics 1.0, or the older text format of Prometheus for scrapers that ask for nothing newer.
// It writes what it is given; names, units and meanings are not its business.
// Source: OpenMetrics 1.0.0 (also draft-ietf-opsawg-openmetrics), sections "ABNF", "StateSet", "Info", "Histogram".

export type Labels = Readonly<Record<string, string>>;

type Shared = {
  /** Without the suffix that the kind adds to its samples. */
  readonly name: string;
  /** The end of the name; left out where there is none. */
  readonly unit?: string;
  readonly help: string;
};

/** Cumulative counts by upper edge, rising; the last edge is infinite and counts all. */
export type Histogram = { readonly buckets: readonly (readonly [edge: number, count: number])[]; readonly sum: number };

export type Family = Shared &
  (
    | { readonly kind: "gauge" | "counter"; readonly points: readonly (readonly [Labels, number])[] }
    /** Which of `states` holds, for each set of labels; the label of the state is the family's name. */
    | {
        readonly kind: "stateset";
        readonly states: readonly string[];
        readonly points: readonly (readonly [Labels, string])[];
      }
    | { readonly kind: "info"; readonly labels: Labels }
    | ({ readonly kind: "histogram" } & Histogram)
  );

export type ExpositionFormat = "openmetrics" | "plain";

/** Media type of each format, with its version. */
export const EXPOSITION_TYPES: { readonly [format in ExpositionFormat]: string } = {
  openmetrics: "application/openmetrics-text; version=1.0.0; charset=utf-8",
  plain: "text/plain; version=0.0.4; charset=utf-8",
};

/** The whole exposition; families without a point are left out. */
export function exposition(families: readonly Family[], format: ExpositionFormat): string {
  const lines: string[] = [];
  for (const family of families) {
    const samples = samplesOf(family);
    if (samples.length === 0) continue;
    lines.push(...headOf(family, format), ...samples);
  }
  if (format === "openmetrics") lines.push("# EOF");
  return `${lines.join("\n")}\n`;
}

/** Kinds that the older format does not know, and what stands for them there. */
const PLAIN_KINDS = { stateset: "gauge", info: "gauge", gauge: "gauge", counter: "counter", histogram: "histogram" };
const SUFFIXES = { counter: "_total", info: "_info", gauge: "", stateset: "", histogram: "" };

function headOf({ name, kind, unit, help }: Family, format: ExpositionFormat): string[] {
  if (format === "plain") {
    // There a family is called as its samples are, and quotes stand as they are.
    const full = `${name}${SUFFIXES[kind]}`;
    return [`# HELP ${full} ${help.replace(/[\\\n]/g, escaped)}`, `# TYPE ${full} ${PLAIN_KINDS[kind]}`];
  }
  return [
    `# TYPE ${name} ${kind}`,
    ...(unit === undefined ? [] : [`# UNIT ${name} ${unit}`]),
    `# HELP ${name} ${help.replace(/[\\\n"]/g, escaped)}`,
  ];
}

function samplesOf(family: Family): string[] {
  const { name } = family;
  switch (family.kind) {
    case "gauge":
    case "counter":
      return family.points.map(([labels, value]) => sample(`${name}${SUFFIXES[family.kind]}`, labels, value));
    case "stateset":
      return family.points.flatMap(([labels, now]) =>
        family.states.map((state) => sample(name, { ...labels, [name]: state }, state === now ? 1 : 0)),
      );
    case "info":
      return [sample(`${name}_info`, family.labels, 1)];
    case "histogram":
      return [
        ...family.buckets.map(([edge, count]) => sample(`${name}_bucket`, { le: edgeText(edge) }, count)),
        sample(`${name}_count`, {}, family.buckets.at(-1)?.[1] ?? 0),
        sample(`${name}_sum`, {}, family.sum),
      ];
  }
}

function sample(name: string, labels: Labels, value: number): string {
  const written = Object.entries(labels).map(([label, text]) => `${label}="${text.replace(/[\\\n"]/g, escaped)}"`);
  return `${name}${written.length === 0 ? "" : `{${written.join(",")}}`} ${numberText(value)}`;
}

const escaped = (character: string): string => (character === "\n" ? "\\n" : `\\${character}`);

function numberText(value: number): string {
  if (Number.isFinite(value)) return String(value);
  if (Number.isNaN(value)) return "NaN";
  return value > 0 ? "+Inf" : "-Inf";
}

/** An edge is a label, so it has one spelling: with a point ("Considerations: Canonical Numbers"). */
function edgeText(edge: number): string {
  return Number.isInteger(edge) ? edge.toFixed(1) : numberText(edge);
}
