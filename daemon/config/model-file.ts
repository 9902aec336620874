// A model as a TOML file: written whole with a sum over its text, read back only when sum, shape and the config's own transformer
// fit. It never repairs a file: a model that was touched by hand or cut short is refused.

import { createHash } from "node:crypto";
import type { BandLoss, Model } from "../core/estimate/model.ts";
import { MODEL_VERSION, type ModelFile, modelSchema } from "./model-schema.ts";
import { type Problem, RequestError } from "./problem.ts";
import { readTextFile } from "./text-file.ts";
import { readToml } from "./toml.ts";
import { NEWER } from "./version.ts";

const LARGEST_BYTES = 64 * 1024;
const VERSION = /^version = (\d{1,9})$/m;
const SUM = /^sum = "([0-9a-f]{64})"\n/;
const HEAD =
  "# A model of one feedpoint, made by a heat run. Make a new one instead of changing figures here: the sum would not fit.\n";
/** Loss fractions of file and config may differ by this share: rounding, nothing else. */
const SAME_RATIO = 1e-3;

/** Far more digits than any run gives, few enough that every machine writes the same ones. */
const DIGITS = 7;
const written = (value: number): string => String(Number(value.toPrecision(DIGITS)));
const snake = (name: string): string => name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
const camel = (name: string): string => name.replace(/_([a-z])/g, (_all, letter: string) => letter.toUpperCase());
const sumOf = (text: string): string => createHash("sha256").update(text).digest("hex");

/** The file's text, reproducible for one model. */
export function modelText(model: Model): string {
  const { constants, bands, hotSpot, collapse, riseUncertaintyRatio, ...plain } = model;
  const pairs = (table: object): string[] =>
    Object.entries(table).map(
      ([name, value]) =>
        `${snake(name)} = ${typeof value === "string" ? JSON.stringify(value) : written(Number(value))}`,
    );
  const lines = [
    ...pairs(plain),
    "",
    "[constants]",
    ...Object.entries(constants).map(
      ([name, { value, uncertaintyRatio }]) =>
        `${snake(name)} = { value = ${written(value)}, uncertainty_ratio = ${written(uncertaintyRatio)} }`,
    ),
    ...Object.entries({ hotSpot, collapse, riseUncertaintyRatio }).flatMap(([name, table]) => [
      "",
      `[${snake(name)}]`,
      ...pairs(table),
    ]),
    ...bands.flatMap((band) => ["", "[[band]]", ...pairs(band)]),
  ];
  const body = `${lines.join("\n")}\n`;
  return `${HEAD}sum = "${sumOf(body)}"\n${body}`;
}

/**
 * The model in `text`. `prior` is what geometry and tables say of the same transformer: a model of another is refused.
 * @throws RequestError with one problem
 */
export function parseModel(text: string, file: string, prior: Model): Model {
  // First, for a later version may be summed otherwise.
  const version = Number(VERSION.exec(text)?.[1] ?? MODEL_VERSION);
  if (version > MODEL_VERSION) {
    throw refused(
      "version",
      file,
      `${MODEL_VERSION}, or fit the recording again with this program; ${NEWER}`,
      `${version}`,
    );
  }
  const body = text.startsWith(HEAD) ? text.slice(HEAD.length) : text;
  const sum = SUM.exec(body)?.[1];
  if (sum === undefined) throw refused("sum", file, "a model that heat-run fit wrote, with its sum", "none");
  const rest = body.slice(body.indexOf("\n") + 1);
  if (sumOf(rest) !== sum)
    throw refused("sum", file, "the sum of an untouched model", "a file changed or cut short since it was written");
  const document = readToml(rest, file);
  const parsed = modelSchema.safeParse(document.value);
  if (!parsed.success) throw shapeProblem(parsed.error.issues[0], document.value, file);
  const model = modelOfFile(parsed.data);
  const problem = crossedBand(model.bands, file) ?? foreign(model, prior, file);
  if (problem !== null) throw new RequestError([problem]);
  return model;
}

/** @throws RequestError when the file cannot be read or is no model of this transformer */
export function readModelFile(file: string, what: string, where: string, prior: Model): Model {
  const text = readTextFile(file, { what, where, mostBytes: LARGEST_BYTES });
  return parseModel(text, file, prior);
}

const refused = (what: string, where: string, expected: string, got: string): RequestError =>
  new RequestError([{ what, where, expected, got }]);

function modelOfFile(file: ModelFile): Model {
  const constants = Object.entries(file.constants).map(([name, { value, uncertainty_ratio }]) => [
    camel(name),
    { value, uncertaintyRatio: uncertainty_ratio },
  ]);
  return {
    version: file.version,
    calibration: file.calibration,
    origin: file.origin,
    nominalRpm: file.nominal_rpm,
    pressurePascals: file.pressure_pascals,
    constants: Object.fromEntries(constants) as Model["constants"],
    bands: file.band.map((one) => ({
      band: one.band,
      lowHertz: one.low_hertz,
      highHertz: one.high_hertz,
      lossFraction: one.loss_fraction,
      kappa: one.kappa,
      kappaUncertainty: one.kappa_uncertainty,
    })),
    hotSpot: { kelvin: file.hot_spot.kelvin, uncertaintyKelvin: file.hot_spot.uncertainty_kelvin },
    collapse: { celsius: file.collapse.celsius, widthKelvin: file.collapse.width_kelvin, gain: file.collapse.gain },
    riseUncertaintyRatio: { fanOn: file.rise_uncertainty_ratio.fan_on, fanOff: file.rise_uncertainty_ratio.fan_off },
  };
}

type Issue = { readonly path: readonly PropertyKey[]; readonly message: string } & { readonly keys?: unknown };

function shapeProblem(issue: Issue | undefined, value: unknown, file: string): RequestError {
  const path = issue?.path.map(String) ?? [];
  const got = path.reduce<unknown>(
    (so, part) => (typeof so === "object" && so !== null ? (so as Readonly<Record<string, unknown>>)[part] : undefined),
    value,
  );
  const what = path.length === 0 ? "model" : path.join(".");
  const shown = got === undefined ? "nothing" : (JSON.stringify(got) ?? String(got)).slice(0, 60);
  return refused(
    what,
    file,
    issue?.message ?? "a model",
    Array.isArray(issue?.keys) ? `also ${issue.keys.join(", ")}` : shown,
  );
}

function crossedBand(bands: readonly BandLoss[], file: string): Problem | null {
  const crossed = bands.find(({ lowHertz, highHertz }) => highHertz <= lowHertz);
  if (crossed === undefined) return null;
  const { band, lowHertz, highHertz } = crossed;
  return { what: `band ${band}`, where: file, expected: `high_hertz above ${lowHertz}`, got: String(highHertz) };
}

/** What to do where the box was changed after its heat run. */
const ANOTHER_BOX = "for a changed box move this file away and repeat the heat run";

/** A model belongs to one transformer and one fan; on another its figures would be wrong without a sign. */
function foreign(model: Model, prior: Model, file: string): Problem | null {
  if (Math.abs(model.nominalRpm / prior.nominalRpm - 1) > SAME_RATIO) {
    const expected = `the config's fan.nominal_speed of ${prior.nominalRpm}; ${ANOTHER_BOX}`;
    return { what: "nominal_rpm", where: file, expected, got: String(model.nominalRpm) };
  }
  for (const { band, lossFraction } of prior.bands) {
    const found = model.bands.find((one) => one.band === band);
    if (found !== undefined && Math.abs(found.lossFraction / lossFraction - 1) <= SAME_RATIO) continue;
    const expected = `a model of the config's transformer, with a loss fraction of ${lossFraction.toPrecision(4)} on ${band}; ${ANOTHER_BOX}`;
    return {
      what: "band",
      where: file,
      expected,
      got: found === undefined ? "none" : found.lossFraction.toPrecision(4),
    };
  }
  return null;
}
