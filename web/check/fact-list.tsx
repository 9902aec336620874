// Facts as a list of names and values, as they come.

import type { Fact } from "./facts.ts";

export function FactList({ facts }: { readonly facts: readonly Fact[] }) {
  return (
    <dl class="facts">
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
