/**
 * Look of a saved page of notes. It has to be read on paper too: no width is fixed, so A4 and Letter both do; rows and
 * findings are never cut by a page's end, and the head of a table stands again on the next page.
 */
export const htmlStyle = `
:root { color-scheme: light; --ink: #1d1d1d; --soft: #4c4c4c; --line: #c4c4c4; --ground: #e6e6e6; --signal: #b5129f; --edge: #ffffff; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 28px 24px 48px; max-width: 1080px; color: var(--ink); background: #fff; font: 15px/1.45 "Atkinson Hyperlegible Next", system-ui, sans-serif; font-variant-numeric: tabular-nums; }
h1 { margin: 0; font-size: 30px; line-height: 1.15; }
h2 { margin: 36px 0 0; padding-bottom: 4px; font-size: 21px; border-bottom: 3px solid var(--ink); break-after: avoid; }
h3 { margin: 22px 0 0; font-size: 18px; break-after: avoid; }
p { margin: 4px 0; }
.facts, .left { color: var(--soft); }
.facts { break-after: avoid; }
table { width: 100%; margin-top: 10px; border-collapse: collapse; table-layout: fixed; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th { padding: 4px 10px 4px 0; text-align: left; font-weight: 600; color: var(--soft); border-bottom: 1px solid var(--ink); }
td { padding: 10px 10px 10px 0; vertical-align: top; border-bottom: 1px solid var(--line); overflow-wrap: break-word; }
.picture { width: 30%; } .count { width: 19%; } .decided { width: 17%; }
.count span, .size { white-space: nowrap; }
.count div + div { margin-top: 2px; }
.count small { display: block; color: var(--soft); font-size: 12.5px; }
strong.kind { display: block; font-size: 16px; }
.owner { color: var(--soft); }
.state { font-weight: 600; }
.state.open { padding: 0 6px; border: 1.5px solid var(--signal); border-radius: 3px; }
figure { margin: 0; }
figcaption, .flip small { display: block; margin-top: 2px; font-size: 12.5px; line-height: 1.3; color: var(--soft); }
figure svg, .flip img { display: block; width: 100%; height: auto; background: var(--ground); }
.before { fill: none; stroke: #1d1d1d; stroke-width: 1.5; stroke-dasharray: 5 4; vector-effect: non-scaling-stroke; }
.after { fill: none; stroke: var(--signal); stroke-width: 2; vector-effect: non-scaling-stroke; }
.under { fill: none; stroke: var(--edge); stroke-width: 4.5; vector-effect: non-scaling-stroke; }
.head, .pivot { fill: var(--signal); stroke: var(--edge); stroke-width: 1; vector-effect: non-scaling-stroke; }
.flip { margin-top: 6px; display: block; }
.flip input { width: 16px; height: 16px; margin: 0 6px 0 0; vertical-align: -3px; accent-color: var(--signal); }
.flip .tick { display: inline; }
.flip .second { background: #fff; }
.flip .pair { display: grid; margin-top: 4px; }
.flip .pair > * { grid-area: 1 / 1; }
.flip input:checked + .pair .second { visibility: hidden; }
ul { margin: 8px 0 0; padding-left: 20px; }
li { break-inside: avoid; }
@page { margin: 14mm 12mm; }
@media screen and (max-width: 760px) {
  table, tbody, tr, td { display: block; width: auto !important; }
  thead { display: none; }
  td { padding: 4px 0; border: 0; }
  tr { display: block; padding: 12px 0; border-bottom: 1px solid var(--line); }
}
@media print {
  body { max-width: none; padding: 0; font-size: 10pt; }
  h1 { font-size: 20pt; } h2 { margin-top: 16pt; font-size: 14pt; } h3 { font-size: 12pt; } strong.kind { font-size: 10.5pt; }
  figcaption, .count small { font-size: 8.5pt; }
  .flip input, .flip .tick { display: none; }
  .flip .pair { grid-template-columns: 1fr 1fr; gap: 2mm; }
  .flip .pair > * { grid-area: auto; visibility: visible !important; }
}
`;
