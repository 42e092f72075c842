/** The page's whole style: no font or picture from elsewhere, light and dark, phone and paper. */
export const STYLE = `
:root { color-scheme: light dark; --ground: #eceae2; --sheet: #faf9f5; --ink: #15202b; --ink2: #4b5661; --live: #b94700; --warn: #98103f; --dead: #6b747b; --rule: #d3cfc3; --rule2: #8f9391; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ground: #0f1316; --sheet: #171c20; --ink: #ede9e0; --ink2: #aeb4b8; --live: #ff9547; --warn: #ff7f9c; --dead: #7f8890; --rule: #30383e; --rule2: #6c757c; }
}
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: var(--ground); color: var(--ink); font: 16px/1.5 system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", Arial, sans-serif; overflow-wrap: anywhere; }
header, nav, section, footer { max-width: 1000px; margin: 0 auto; padding: 0 24px; }
header { padding-top: 32px; }
h1 { margin: 0; font-size: 30px; line-height: 1.2; letter-spacing: -0.01em; }
.file { margin: 4px 0 0; color: var(--ink2); font-size: 15px; }
.headline { margin: 20px 0 8px; font-size: 21px; line-height: 1.35; font-weight: 650; }
.counts { display: flex; flex-wrap: wrap; gap: 4px 28px; margin: 0 0 20px; padding: 0; list-style: none; font-weight: 600; }
.verdict { white-space: nowrap; font-weight: 600; }
.mark { width: 20px; height: 20px; vertical-align: -4px; flex: none; }
.mark .stroke { fill: none; stroke: var(--ink); stroke-width: 2.2; stroke-linecap: round; stroke-linejoin: round; }
.mark .broken { stroke-dasharray: 5 3.1; stroke-linecap: butt; }
.mark .dot { fill: var(--ink); }
.mark .warn { fill: var(--warn); }
.mark .hole { fill: var(--sheet); }
.mark .cut { fill: none; stroke: var(--sheet); stroke-width: 3; stroke-linecap: round; }
nav ul { max-width: none; margin: 0; padding: 0; list-style: none; border-top: 1px solid var(--rule2); }
nav li { border-bottom: 1px solid var(--rule); }
nav a { display: flex; gap: 14px; min-height: 44px; padding: 10px 0; color: inherit; text-decoration: none; }
nav a .mark { width: 24px; height: 24px; margin-top: 2px; }
nav a:hover .asked, nav a:focus-visible .asked { text-decoration: underline; }
:focus-visible { outline: 3px solid var(--live); outline-offset: 2px; }
.asked { display: block; font-weight: 650; }
.decides { display: block; color: var(--ink2); font-size: 15px; }
.decides b { color: var(--ink); }
section { margin-top: 40px; padding-top: 24px; padding-bottom: 28px; background: var(--sheet); border-top: 3px solid var(--ink); }
h2 { display: flex; gap: 14px; margin: 0; font-size: 23px; line-height: 1.3; }
h2 .mark { width: 28px; height: 28px; margin-top: 1px; }
h3 { margin: 28px 0 6px; font-size: 16px; line-height: 1.35; }
p { margin: 8px 0; max-width: 72ch; }
.says { font-size: 18px; line-height: 1.5; }
.share { color: var(--ink2); }
.refused { padding-left: 14px; border-left: 4px solid var(--warn); }
ul, ol { margin: 6px 0; padding-left: 22px; max-width: 76ch; }
li { margin: 4px 0; }
.scroll { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; font-size: 15px; }
th, td { padding: 8px 14px 8px 0; text-align: left; vertical-align: top; border-bottom: 1px solid var(--rule); overflow-wrap: normal; }
td.text { overflow-wrap: anywhere; min-width: 12ch; }
thead th { color: var(--ink2); font-weight: 600; border-bottom-color: var(--rule2); }
.number { font-variant-numeric: tabular-nums; white-space: nowrap; }
.items td.says-item { padding-top: 0; color: var(--ink2); }
.items tr.lead td, .items tr.lead th { border-bottom: 0; padding-bottom: 2px; }
.items th { font-weight: 600; }
.slip { color: var(--ink2); font-weight: 400; }
.advice > li { margin: 14px 0; }
.advice .what { font-weight: 650; }
.advice code { font: 14px/1.5 ui-monospace, "DejaVu Sans Mono", Menlo, Consolas, monospace; }
.edit { display: block; padding-left: 12px; border-left: 2px solid var(--rule2); }
.tag-free { color: var(--ink2); font-weight: 400; }
.caution { font-weight: 600; }
.basis { color: var(--ink2); font-size: 15px; }
figure { margin: 24px 0 0; }
figcaption { margin-bottom: 6px; font-weight: 650; }
.chart { display: none; width: 100%; height: auto; font-family: inherit; }
.chart.narrow { display: block; max-width: 460px; }
.chart text { fill: var(--ink); paint-order: stroke; stroke: var(--sheet); stroke-width: 4px; stroke-linejoin: round; }
.chart .tick { font-variant-numeric: tabular-nums; }
.chart .tick, .chart .name { fill: var(--ink2); }
.chart .threshold-name, .chart .mark-name { font-weight: 600; }
.chart .grid { stroke: var(--rule); stroke-width: 1; }
.chart .axis { fill: none; stroke: var(--ink2); stroke-width: 1.2; }
.chart .curve { fill: none; stroke-linejoin: round; stroke-linecap: round; stroke: var(--ink); stroke-width: 2.6; }
.chart .curve.c1 { stroke: var(--live); stroke-width: 2; }
.chart .curve.c2 { stroke: var(--ink2); stroke-width: 1.5; }
.chart .curve.c3 { stroke: var(--dead); stroke-width: 3.4; }
.chart .curve.dashed { stroke-dasharray: 7 5; stroke-linecap: butt; }
.chart .tag { fill: var(--sheet); stroke: var(--ink); stroke-width: 1.6; }
.chart .tag.c1 { stroke: var(--live); fill: var(--live); }
.chart .threshold { fill: none; stroke: var(--warn); stroke-width: 1.6; stroke-dasharray: 2 4; }
.chart .leader { fill: none; stroke: var(--ink); stroke-width: 1; }
.chart .mark-point { fill: var(--sheet); stroke: var(--ink); stroke-width: 2.2; }
footer { padding-top: 28px; padding-bottom: 40px; color: var(--ink2); font-size: 14px; }
@media (min-width: 740px), print {
  .chart.wide { display: block; max-width: 820px; }
  .chart.narrow { display: none; }
}
@media (max-width: 739px) {
  header, nav, section, footer { padding-left: 18px; padding-right: 18px; }
  header { padding-top: 22px; }
  h1 { font-size: 26px; }
  h2 { font-size: 20px; }
  section { margin-top: 28px; }
  .items, .items tbody, .items tr, .items th, .items td { display: block; border: 0; padding: 0; }
  .items thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .items tbody { padding: 10px 0; border-bottom: 1px solid var(--rule); }
  .items td[data-head]:not(:empty)::before { content: attr(data-head) ": "; color: var(--ink2); }
  .items .number { white-space: normal; }
}
@media print {
  body { background: #fff; font-size: 11pt; }
  :root { --ground: #fff; --sheet: #fff; --ink: #000; --ink2: #333; --live: #555; --warn: #000; --dead: #777; }
  header, nav, section, footer { max-width: none; padding-left: 0; padding-right: 0; }
  section { margin-top: 18pt; padding-bottom: 0; }
  h2, h3, figcaption, thead { break-after: avoid; }
  figure, li, .items tbody { break-inside: avoid; }
  .scroll { overflow: visible; }
}
`;
