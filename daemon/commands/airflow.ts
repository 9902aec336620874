// `emberwire airflow`: the air that carries a heat away with a given rise, and what a fan really moves through vents.
// It never knows how hot the core gets: that takes the model, and is `rating`.
import type { Command } from "commander";
import { RequestError } from "../config/problem.ts";
import { quantity } from "../config/quantity.ts";
import { type Air, air, pressureAtAltitudePascals } from "../core/physics/air.ts";
import { airflowForHeat, CUBIC_FOOT_PER_MINUTE, riseForHeat } from "../core/physics/airflow.ts";
import { fanAt, type OperatingPoint, operatingPoint, straightFan } from "../core/physics/fan.ts";
import { roundVents, type Vents, ventResistance } from "../core/physics/vents.ts";
import { COMMAND_LINE, type Figure, figure, percent, writeFigures, writeJson } from "./figures.ts";

type Flags = {
  readonly heat: string;
  readonly rise: string;
  readonly altitude: string;
  readonly inlet: string;
  readonly humidity: string;
  readonly fanCfm?: string;
  readonly fanPressure?: string;
  readonly fanSpeed: string;
  readonly vents?: string;
  readonly ventFree: string;
  readonly json?: boolean;
};

/** The fan at work; low and high are the same fan with half and twice the assumed shut-off pressure. */
type FanAnswer = {
  readonly point: OperatingPoint;
  readonly low: OperatingPoint;
  readonly high: OperatingPoint;
  readonly riseKelvin: number;
  readonly assumedPressure: boolean;
};

// Shut-off pressure of small fast axial fans: half to one inch of water and more (common practice, no source).
const ASSUMED_SHUT_OFF_PASCALS = 125;
const VENT_DIAMETER_METERS = 0.025;
// Through louvred vents a fan moves 50 to 70 % of its free delivery (common practice, no source).
const USUAL_SHARE = { low: 0.5, nominal: 0.6, high: 0.7 } as const;

const EXAMPLE = `
Examples:
  emberwire airflow --heat 100W --rise 8K --altitude 300m --inlet 30C
  emberwire airflow --heat 75W --rise 14K --fan-cfm 12 --vents 3x25mm

Airflow is counted as the air enters. Without --vents a fan in a box is taken at 50 to 70 % of its free delivery.`;

/** Adds `airflow` to the program. */
export function register(program: Command): void {
  program
    .command("airflow")
    .description("air needed to carry a heat away, and what a fan moves through vents")
    .requiredOption("--heat <power>", "heat to carry away, such as 100W")
    .requiredOption("--rise <difference>", "outlet over inlet, such as 8K or 14F")
    .option("--altitude <length>", "height above sea level", "0m")
    .option("--inlet <temperature>", "air at the inlet", "20C")
    .option("--humidity <share>", "relative humidity at the inlet", "0%")
    .option("--fan-cfm <flow>", "free delivery of the fan in CFM (or with a unit, such as 5.7l/s)")
    .option("--fan-pressure <pressure>", `shut-off pressure of the fan (${ASSUMED_SHUT_OFF_PASCALS} Pa assumed)`)
    .option("--fan-speed <share>", "speed over nominal speed", "100%")
    .option("--vents <vents>", "inlet vents, such as 3x25mm, or their number (25 mm each)")
    .option("--vent-free <share>", "share of a vent left open by louvres and mesh", "50%")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: Flags): void {
  const at = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  const heatWatts = quantity(flags.heat, "power", at("--heat", 0, 1e5));
  const riseKelvin = quantity(flags.rise, "temperatureDifference", at("--rise", 0.1, 300));
  const altitudeMeters = quantity(flags.altitude, "length", at("--altitude", -500, 9000));
  const inletCelsius = quantity(flags.inlet, "temperature", at("--inlet", -50, 90));
  const humidityRatio = quantity(flags.humidity, "ratio", at("--humidity", 0, 1));
  const inlet = air(inletCelsius, humidityRatio, pressureAtAltitudePascals(altitudeMeters));
  const needed = airflowForHeat(heatWatts, riseKelvin, inlet);
  const fan = flags.fanCfm === undefined ? null : fanAnswer(flags, flags.fanCfm, heatWatts, inlet);
  if (fan === null) refuseLonely(flags);
  if (flags.json === true) writeJson(command, json(needed, inlet, fan));
  else writeFigures(command, lines(needed, inlet, fan), notes(flags, needed, fan));
  if (fan !== null && fan.point.airflowCubicMetersPerSecond < needed) process.exitCode = 1;
}

function refuseLonely(flags: Flags): void {
  const lonely = flags.vents !== undefined ? "--vents" : flags.fanPressure !== undefined ? "--fan-pressure" : null;
  if (lonely === null) return;
  throw new RequestError([{ what: lonely, where: COMMAND_LINE, expected: "--fan-cfm beside it", got: "no fan" }]);
}

function fanAnswer(flags: Flags, freeText: string, heatWatts: number, inlet: Air): FanAnswer {
  const at = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  const bare = /^[\d.]+$/.test(freeText.trim());
  const freeAirflow = quantity(bare ? `${freeText}CFM` : freeText, "airflow", at("--fan-cfm", 1e-5, 10));
  const speedRatio = quantity(flags.fanSpeed, "ratio", at("--fan-speed", 0.05, 3));
  const assumedPressure = flags.fanPressure === undefined;
  const shutOff =
    flags.fanPressure === undefined
      ? ASSUMED_SHUT_OFF_PASCALS
      : quantity(flags.fanPressure, "pressure", at("--fan-pressure", 1, 5000));
  const works = (pascals: number, usualShare: number): OperatingPoint => {
    const running = fanAt(straightFan(freeAirflow, pascals), speedRatio, inlet.densityKilogramsPerCubicMeter);
    if (flags.vents !== undefined) return operatingPoint(running, ventResistance(readVents(flags), inlet));
    const airflow = freeAirflow * speedRatio * usualShare;
    const first = running.points[0]!.pressurePascals;
    return {
      airflowCubicMetersPerSecond: airflow,
      pressurePascals: first * (1 - usualShare),
      shareOfFreeDelivery: usualShare,
    };
  };
  const spread = assumedPressure ? 2 : 1;
  const point = works(shutOff, USUAL_SHARE.nominal);
  return {
    point,
    low: works(shutOff / spread, USUAL_SHARE.low),
    high: works(shutOff * spread, USUAL_SHARE.high),
    riseKelvin: riseForHeat(heatWatts, point.airflowCubicMetersPerSecond, inlet),
    assumedPressure,
  };
}

function readVents(flags: Flags): Vents {
  const text = flags.vents ?? "";
  const match = /^\s*(\d+)\s*(?:[x×]\s*(.+))?$/.exec(text);
  if (match === null) {
    const expected = "vents such as 3x25mm, or their number";
    throw new RequestError([{ what: "--vents", where: COMMAND_LINE, expected, got: `"${text}"` }]);
  }
  const place = { what: "--vents", where: COMMAND_LINE };
  const count = quantity(match[1]!, "count", { ...place, low: 1, high: 100, whole: true });
  const diameter =
    match[2] === undefined ? VENT_DIAMETER_METERS : quantity(match[2], "length", { ...place, low: 0.002, high: 1 });
  const freeShare = quantity(flags.ventFree, "ratio", { what: "--vent-free", where: COMMAND_LINE, low: 0.01, high: 1 });
  return roundVents(count, diameter, freeShare);
}

const cfm = (airflow: number): number => airflow / CUBIC_FOOT_PER_MINUTE;

function json(needed: number, inlet: Air, fan: FanAnswer | null): object {
  return {
    airflow_cubic_meters_per_second: needed,
    airflow_cfm: cfm(needed),
    air_density_kilograms_per_cubic_meter: inlet.densityKilogramsPerCubicMeter,
    air_pressure_pascals: inlet.pressurePascals,
    operating_point:
      fan === null
        ? null
        : {
            airflow_cubic_meters_per_second: fan.point.airflowCubicMetersPerSecond,
            airflow_cfm: cfm(fan.point.airflowCubicMetersPerSecond),
            airflow_low_cubic_meters_per_second: fan.low.airflowCubicMetersPerSecond,
            airflow_high_cubic_meters_per_second: fan.high.airflowCubicMetersPerSecond,
            pressure_pascals: fan.point.pressurePascals,
            share_of_free_delivery: fan.point.shareOfFreeDelivery,
            rise_kelvin: fan.riseKelvin,
          },
  };
}

function flow(airflow: number): string {
  return `${figure(airflow * 1e3)} l/s = ${figure(airflow, 4)} m³/s = ${figure(cfm(airflow))} CFM`;
}

function lines(needed: number, inlet: Air, fan: FanAnswer | null): Figure[] {
  const density = figure(inlet.densityKilogramsPerCubicMeter, 4);
  const figures: Figure[] = [
    [
      "air at the inlet",
      `${density} kg/m³ at ${figure(inlet.celsius)} °C, ${figure(inlet.pressurePascals / 100, 4)} hPa`,
    ],
    ["airflow needed", flow(needed)],
  ];
  if (fan === null) return figures;
  figures.push(
    ["fan moves", flow(fan.point.airflowCubicMetersPerSecond)],
    [
      "  between",
      `${figure(cfm(fan.low.airflowCubicMetersPerSecond))} and ${figure(cfm(fan.high.airflowCubicMetersPerSecond))} CFM`,
    ],
    [
      "  of free delivery",
      `${percent(fan.point.shareOfFreeDelivery, 2)} against ${figure(fan.point.pressurePascals)} Pa`,
    ],
    ["rise with this fan", `${figure(fan.riseKelvin)} K = ${figure(fan.riseKelvin * 1.8)} °F`],
  );
  return figures;
}

function notes(flags: Flags, needed: number, fan: FanAnswer | null): string[] {
  const said: string[] = [];
  if (fan === null) return said;
  if (flags.vents === undefined) {
    said.push("No vents given: 50 to 70 % of free delivery is common practice through louvred vents (no source).");
  } else if (fan.assumedPressure) {
    said.push(
      `Shut-off pressure assumed ${ASSUMED_SHUT_OFF_PASCALS} Pa, the range from half to twice that: give --fan-pressure.`,
    );
  }
  if (fan.point.airflowCubicMetersPerSecond < needed) said.push("This fan moves less air than the rise asks for.");
  return said;
}
