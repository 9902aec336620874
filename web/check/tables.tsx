// Parts and buses as tables; each cell says in words what it counts. Wide tables scroll in themselves, never the page.

import type { BusCounters, HardwareHealth } from "../../daemon/wire/check.ts";
import type { Figures } from "../figures.ts";
import { strings } from "../strings.ts";
import { rateText } from "./facts.ts";

const words = strings.check;

export function PartTable({ hardware }: { readonly hardware: HardwareHealth; readonly figures: Figures }) {
  const { parts, sweeps } = hardware;
  const sum = (key: "receiving" | "transmitting"): number =>
    parts.reduce((total, { errors }) => total + errors.reduce((inner, count) => inner + count[key], 0), 0);
  const rfSuspected =
    sum("transmitting") > 10 &&
    sum("transmitting") / Math.max(1, sweeps.transmitting) >
      (4 * (sum("receiving") + 1)) / Math.max(1, sweeps.receiving);
  return (
    <section aria-labelledby="parts-title">
      <h2 id="parts-title">{words.parts}</h2>
      <div class="table-frame">
        <table class="wide">
          <caption>{words.partsCaption}</caption>
          <thead>
            <tr>
              <th scope="col">{words.part}</th>
              <th scope="col">{words.chip}</th>
              <th scope="col">{words.receiving}</th>
              <th scope="col">{words.transmitting}</th>
              <th scope="col">{words.codes}</th>
            </tr>
          </thead>
          <tbody>
            {parts.map(({ name, part, place, errors }) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                <td>
                  {part}
                  <span class="place">{place}</span>
                </td>
                <td>
                  {rateText(
                    errors.reduce((total, count) => total + count.receiving, 0),
                    sweeps.receiving,
                  )}
                </td>
                <td>
                  {rateText(
                    errors.reduce((total, count) => total + count.transmitting, 0),
                    sweeps.transmitting,
                  )}
                </td>
                <td>{errors.map(({ code }) => strings.drawing.code(code)).join(", ") || words.noCycles}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {rfSuspected && <p class="note">{words.emc}</p>}
    </section>
  );
}

export function BusTable({ buses }: { readonly buses: readonly BusCounters[]; readonly figures: Figures }) {
  if (buses.length === 0) return null;
  return (
    <section class="panel" aria-labelledby="buses-title">
      <h2 id="buses-title">{words.buses}</h2>
      <div class="table-frame">
        <table class="wide">
          <thead>
            <tr>
              <th scope="col">{words.bus}</th>
              <th scope="col">{words.transfers}</th>
              <th scope="col">{words.retries}</th>
              <th scope="col">{words.reopens}</th>
              <th scope="col">{words.errors}</th>
              <th scope="col">{words.state}</th>
            </tr>
          </thead>
          <tbody>
            {buses.map(({ bus, transfers, retries, reopens, errors, stuck }) => (
              <tr key={bus}>
                <th scope="row">{bus}</th>
                <td>{transfers}</td>
                <td>{retries}</td>
                <td>{reopens}</td>
                <td>{errors}</td>
                <td>{stuck ? words.stuck : words.free}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
