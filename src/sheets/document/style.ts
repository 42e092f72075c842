import type { PageFormat } from '../drawing/frame.ts';
import { STYLE } from '../report/style.ts';

/** The look of papers, on top of the report's: black on white, made to be printed on pages of the size given. */
export function paperStyle(format: PageFormat): string {
  return `${STYLE}
:root { color-scheme: light; }
@media screen { :root { --ground: #fff; --sheet: #fff; --ink: #000; --ink2: #333; --rule: #bbb; --rule2: #777; } }
body { font-family: "DejaVu Sans", system-ui, sans-serif; font-size: 15px; }
.paper { display: block; max-width: 1000px; margin: 0 auto; padding: 24px; background: var(--sheet); border: 0; }
body.wide .paper { max-width: 1400px; }
body.wide > header, body.wide > nav, body.wide > footer { max-width: 1400px; }
nav ul { columns: 4 180px; column-gap: 24px; }
nav li { break-inside: avoid; }
.paper .head { display: flex; flex-wrap: wrap; justify-content: space-between; align-items: end; gap: 4px 24px; max-width: none; padding: 0 0 8px; border-bottom: 4px solid var(--ink); }
.paper h2 { display: block; }
.stamp, .foot { color: var(--ink2); font-size: 13px; }
.foot { border-top: 1px solid var(--rule2); margin-top: 28px; padding-top: 6px; max-width: none; }
.lead { font-size: 17px; }
caption { text-align: left; font-weight: 700; font-size: 17px; padding: 20px 0 4px; }
tbody th { font-weight: 600; }
.figures { text-align: right; font-variant-numeric: tabular-nums; }
.steps .count { font-size: 19px; font-weight: 700; }
.steps .does { font-size: 17px; font-weight: 700; }
.steps .detail { font-weight: 400; }
.steps { table-layout: fixed; width: 100%; }
.steps th:nth-child(1) { width: 3.4em; }
.steps th:nth-child(2) { width: 4.6em; }
.steps th:nth-child(3) { width: 29%; }
.steps thead th:last-child { width: 3.6em; }
.steps thead th:nth-last-child(2) { width: 17%; }
.with-pictures .pictured { width: 150px; padding-right: 14px; vertical-align: bottom; }
.steps td.pictured { vertical-align: top; }
.steps .pictured svg { display: block; width: auto; height: 34px; }
.steps thead .pictured svg { height: 19px; }
.box { display: inline-block; width: 1.3em; height: 1.3em; border: 2px solid var(--ink); vertical-align: -0.25em; }
.boxes, .blanks, .labels { list-style: none; padding: 0; max-width: none; }
.boxes li { margin: 8px 0; }
.paper .caution { border: 3px solid var(--ink); padding: 10px 14px; max-width: none; font-weight: 400; }
dl { margin: 6px 0; }
dl div { display: flex; gap: 16px; padding: 4px 0; border-bottom: 1px solid var(--rule); }
dt { flex: 0 0 40%; color: var(--ink2); }
dd { margin: 0; }
.blanks { display: flex; gap: 24px; margin-top: 44px; }
.blanks li { flex: 1; border-top: 1px solid var(--ink); font-size: 13px; }
.labels { display: grid; grid-template-columns: repeat(auto-fill, minmax(210px, 1fr)); gap: 0; }
.labels li { margin: 0; padding: 8px; border: 1px dashed var(--rule2); }
figure svg.drawing { display: block; width: 100%; height: auto; }
@media (max-width: 739px) {
  .paper { padding: 18px; }
  .paper td, .paper tbody th { min-width: 9ch; }
  .paper td.text { min-width: 26ch; }
  .paper .steps, .steps tbody, .steps tr, .paper .steps td, .paper .steps th { display: block; min-width: 0; border: 0; padding: 0; }
  .steps caption { display: block; }
  .paper .steps th:nth-child(n) { width: auto; }
  .steps thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .paper .steps tr { padding: 10px 0; border-bottom: 1px solid var(--rule); }
  .paper .steps td.pictured { width: auto; }
  .steps td[data-stands]::after { content: attr(data-stands); }
  .steps td[data-head]::before { content: attr(data-head) ": "; color: var(--ink2); }
  .steps td[data-head]:empty { display: none; }
  .blanks { flex-direction: column; gap: 40px; }
}
@media print {
  @page { size: ${format}; margin: 14mm; }
  @page sideways { size: ${format} landscape; margin: 10mm; }
  .paper.wide, .paper.drawing { page: sideways; }
  .paper { padding: 0; max-width: none; font-size: 10pt; }
  .paper table { font-size: 8.5pt; }
  .paper th, .paper td { padding: 3pt 10pt 3pt 0; }
  .paper h1 { font-size: 17pt; }
  .paper h2 { font-size: 13pt; }
  .paper caption, .paper .lead { font-size: 11pt; }
  .paper p, .paper ul { max-width: none; }
  .paper.card { font-size: 9pt; line-height: 1.35; }
  .paper.card .blanks { margin-top: 26pt; }
  .paper.card .steps .does { font-size: 10pt; }
  .blanks, .foot { break-inside: avoid; break-before: avoid; }
  tr, .boxes li, .labels li, .caution { break-inside: avoid; }
  thead { display: table-header-group; }
  div + div > .paper { break-before: page; }
  .paper.drawing figcaption, .paper.drawing .head, .paper.drawing .foot { display: none; }
  .paper.drawing figure { margin: 0; break-inside: avoid; }
  .paper.drawing svg { max-height: 185mm; }
  h2, h3, caption { break-after: avoid; }
}
`;
}
