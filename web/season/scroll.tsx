// A table that scrolls by itself: named, and reached by the keyboard, or nobody without a pointer could read its end
// (WCAG 2.1.1).

import type { ComponentChildren } from "preact";

const REACHED = { tabIndex: 0 } as const;

export function Scroll({ label, children }: { readonly label: string; readonly children: ComponentChildren }) {
  return (
    <section class="table-twin season-scroll" aria-label={label} {...REACHED}>
      {children}
    </section>
  );
}
