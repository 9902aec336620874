// What came out of a heat run beside the model in use. It shows; accepting is the view's business.

import type { WireHeatRunResult } from "../../daemon/wire/heat-run.ts";
import { type Figures, joined } from "../figures.ts";
import { heatRun as words } from "../strings/heat-run.ts";

const digits = (value: number): string => Number(value.toPrecision(3)).toString();

export function Result({ result, figures }: { readonly result: WireHeatRunResult; readonly figures: Figures }) {
  const share = (ratio: number): string => joined(figures.ratio(ratio));
  return (
    <section>
      <p>{words.worth(share(result.rise_uncertainty_ratio), share(result.in_use_rise_uncertainty_ratio))}</p>
      <p class="note">{words.residual(joined(figures.difference(result.outlet_residual_kelvin, 2)))}</p>
      <div class="rating-table">
        <table>
          <caption>{words.tableTitle}</caption>
          <thead>
            <tr>
              <th scope="col">{words.heads.name}</th>
              <th scope="col">{words.heads.inUse}</th>
              <th scope="col">{words.heads.fitted}</th>
              <th scope="col">{words.heads.verdict}</th>
            </tr>
          </thead>
          <tbody>
            {result.quantities.map((one) => (
              <tr key={one.name}>
                <th scope="row">{words.quantity(one.name)}</th>
                <td>{digits(one.in_use)}</td>
                <td>{`${digits(one.value)} ± ${Number(one.standard_uncertainty.toPrecision(2))} ${one.unit}`}</td>
                <td>{one.identified ? words.identified : words.notMoved}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
