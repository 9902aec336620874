// How the report looks, on a screen and on A4 and Letter alike: widths in shares of the sheet, nothing torn across pages.

export const STYLE = `
@page { margin: 16mm 15mm 18mm; @bottom-right { content: counter(page); font: 8pt sans-serif; color: #6b655e; } }
:root { --ink: #1c1a18; --soft: #6b655e; --rule: #cfc8bf; --ember: #a3290f; }
* { box-sizing: border-box; }
body { font: 10.5pt/1.45 system-ui, "Segoe UI", "Liberation Sans", sans-serif; color: var(--ink); background: #fff;
  max-width: 190mm; margin: 0 auto; padding: 6mm; font-variant-numeric: tabular-nums; }
h1 { font-size: 22pt; margin: 0; line-height: 1.15; }
h2 { font-size: 13pt; margin: 9mm 0 2mm; border-bottom: .4pt solid var(--rule); padding-bottom: 1mm; break-after: avoid; }
.span { color: var(--soft); margin: 0 0 3mm; }
.sentence { font-size: 12.5pt; margin: 3mm 0 5mm; }
.simulated { border: 1.2pt solid var(--ember); color: var(--ember); font-weight: 600; padding: 1.5mm 3mm; margin: 2mm 0; }
.totals { display: grid; grid-template-columns: 1fr 55mm; gap: 8mm; break-inside: avoid; }
dl { margin: 0; } dl div { display: flex; justify-content: space-between; gap: 4mm; border-bottom: .4pt solid var(--rule); padding: .8mm 0; }
dt { color: var(--soft); } dd { margin: 0; font-weight: 600; text-align: right; }
table { border-collapse: collapse; width: 100%; font-size: 9.5pt; }
thead { display: table-header-group; } tr { break-inside: avoid; }
th { text-align: left; color: var(--soft); font-weight: 500; border-bottom: .8pt solid var(--ink); padding: .8mm 2mm .8mm 0; }
td { border-bottom: .4pt solid var(--rule); padding: .8mm 2mm .8mm 0; vertical-align: top; }
.n { text-align: right; } .notes td:nth-child(-n+2) { white-space: nowrap; }
figure { margin: 3mm 0; break-inside: avoid; } figcaption { font-size: 9.5pt; font-weight: 600; }
svg { width: 100%; height: auto; display: block; }
.grid { stroke: #e3ddd5; stroke-width: .6; } .tick { font-size: 9.5px; fill: #6b655e; }
.mark { stroke: var(--ember); stroke-width: 1; stroke-dasharray: 5 3; } .event { stroke: #2b6c8f; stroke-width: 1; stroke-dasharray: 2 2; }
.legend { font-weight: 400; color: var(--soft); margin-left: 3mm; }
.legend span { margin-right: 3mm; } .legend span::before { content: ""; display: inline-block; width: 4mm; height: 1.2mm;
  background: var(--c); margin-right: 1mm; vertical-align: middle; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.legend .dot::before { width: 1.6mm; height: 1.6mm; border-radius: 50%; } .legend .key::before { height: 2.4mm; }
rect { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.wear { break-inside: avoid; } .wear p { margin: 4mm 0 0; } ul { margin: 1mm 0; padding-left: 5mm; font-size: 9.5pt; }
.small, .none { color: var(--soft); font-size: 9.5pt; } footer { margin-top: 10mm; color: var(--soft); font-size: 9pt; break-inside: avoid; }
@media screen and (max-width: 640px) { .totals { grid-template-columns: 1fr; } table { display: block; overflow-x: auto; } }
@media print { body { max-width: none; padding: 0; } }
`;
