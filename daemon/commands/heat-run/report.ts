// The report of a fit: one HTML file that needs nothing else, with the run, its residuals and every quantity. It judges nothing.

import type { HeatRunFit } from "../../core/estimate/fit.ts";
import { figure } from "../figures.ts";
import { movement, namedQuantity, notablePairs, worth } from "./answer.ts";
import { plot } from "./plot.ts";

const STYLE = `body{max-width:60rem;margin:2rem auto;padding:0 1rem;font:16px/1.45 system-ui,sans-serif;color:#14232a}
table{border-collapse:collapse}th,td{padding:.2rem 1rem .2rem 0;border-bottom:1px solid #ccd5d6;text-align:left;font-weight:400}
td.number{text-align:right;font-variant-numeric:tabular-nums}svg{width:100%;height:auto;font-size:12px;fill:#14232a}
.rule{stroke:#ccd5d6;fill:none}.end{text-anchor:end;dominant-baseline:middle}.middle{text-anchor:middle}text{dominant-baseline:middle}
.correlation td{padding-right:.5rem;font-size:.8rem}.correlation th{font-size:.8rem}`;

const OUTLET = "#0d6e7d";
const CORE = "#b03d0c";
const INK = "#4f6470";

const escaped = (text: string): string =>
  text.replace(/[&<>"]/g, (one) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[one] ?? one);

/** The page as text. */
export function reportPage(feedpoint: string, fit: HeatRunFit): string {
  const title = `Heat run, ${feedpoint}`;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${escaped(title)}</title>
<style>${STYLE}</style></head><body>
<h1>${escaped(title)}</h1>
<p>${escaped(fit.model.origin)}. ${escaped(worth(fit))}</p>
<h2>The run</h2>
${temperatures(fit)}
<h2>What the fit leaves over</h2>
<p>Outlet measured minus fitted. A good residual proves nothing about the core; the core readings do.</p>
${residuals(fit)}
${spots(fit)}
<h2>Quantities</h2>
${quantities(fit)}
<h2>Correlation</h2>
${correlation(fit)}
</body></html>
`;
}

const minutes = (seconds: number): number => seconds / 60;

function temperatures({ trace, spots: readings }: HeatRunFit): string {
  return plot("Temperatures of the run", "°C", [
    {
      name: "core, fitted",
      colour: CORE,
      kind: "line",
      values: trace.map((at) => ({ x: minutes(at.atSeconds), y: at.fittedCoreCelsius })),
    },
    {
      name: "core readings",
      colour: CORE,
      kind: "points",
      values: readings.map((at) => ({ x: minutes(at.atSeconds), y: at.celsius })),
    },
    {
      name: "outlet, measured",
      colour: INK,
      kind: "line",
      values: trace.map((at) => ({ x: minutes(at.atSeconds), y: at.outletCelsius })),
    },
    {
      name: "outlet, fitted",
      colour: OUTLET,
      kind: "line",
      values: trace.map((at) => ({ x: minutes(at.atSeconds), y: at.fittedOutletCelsius })),
    },
  ]);
}

function residuals({ trace }: HeatRunFit): string {
  const values = trace.map(({ atSeconds, outletCelsius, fittedOutletCelsius }) => ({
    x: minutes(atSeconds),
    y: outletCelsius === null ? null : outletCelsius - fittedOutletCelsius,
  }));
  return plot("Outlet measured minus fitted", "K", [
    { name: "outlet, measured − fitted, K", colour: OUTLET, kind: "line", values },
  ]);
}

function spots({ spots: readings }: HeatRunFit): string {
  if (readings.length === 0) return "<p>No core reading: not calibrated.</p>";
  const rows = readings.map(({ atSeconds, celsius, fittedCelsius }) =>
    row([
      minutes(atSeconds).toFixed(1),
      celsius.toFixed(1),
      fittedCelsius.toFixed(1),
      (celsius - fittedCelsius).toFixed(1),
    ]),
  );
  return table(["core reading at, min", "read, °C", "fitted, °C", "difference, K"], rows);
}

function quantities(fit: HeatRunFit): string {
  const rows = fit.quantities.map((quantity) => {
    const { words, unit } = namedQuantity(quantity.name);
    const spread = figure(quantity.value * quantity.uncertaintyRatio, 2);
    return `<tr><th scope="row">${escaped(words)}</th><td class="number">${figure(quantity.value)} ± ${spread}</td><td>${unit}</td><td class="number">${figure(quantity.prior)} ± ${figure(quantity.prior * quantity.priorUncertaintyRatio, 2)}</td><td>${movement(quantity)}</td></tr>`;
  });
  return table(["quantity", "value ± standard uncertainty", "unit", "before the run", "what the data did"], rows);
}

function correlation(fit: HeatRunFit): string {
  const names = fit.quantities.map(({ name }) => namedQuantity(name).words);
  const rows = names.map((name, at) => {
    const cells = names
      .slice(0, at + 1)
      .map((_, column) => `<td class="number">${fit.correlation[at]![column]!.toFixed(2)}</td>`);
    return `<tr><th scope="row">${at + 1} ${escaped(name)}</th>${cells.join("")}</tr>`;
  });
  const pairs = notablePairs(fit);
  const said = pairs.length === 0 ? "" : `<p>Known only together: ${escaped(pairs.join(", "))}.</p>`;
  const heads = ["", ...names.map((_, at) => String(at + 1))];
  return `${said}<div class="correlation">${table(heads, rows)}</div>`;
}

const row = (cells: readonly string[]): string =>
  `<tr>${cells.map((cell) => `<td class="number">${cell}</td>`).join("")}</tr>`;

function table(heads: readonly string[], rows: readonly string[]): string {
  return `<table><thead><tr>${heads.map((head) => `<th scope="col">${head}</th>`).join("")}</tr></thead><tbody>${rows.join("")}</tbody></table>`;
}
