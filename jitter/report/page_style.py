"""The look of our pages: one column, quiet colours, light and dark, screen and print."""

STYLE = """
:root { color-scheme: light dark; --ink: #22303c; --soft: #5b6b77; --paper: #fbfaf7;
  --card: #ffffff; --line: #d9dfe3; --under: #f3f6f8; --mark: #a8480f; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ink: #e4e9ec; --soft: #a5b1ba; --paper: #161c21; --card: #1e262c; --line: #36424b;
    --under: #26313a; --mark: #f0a06a; }
  /* Figures are drawn dark on light: here lightness is turned about, and hues stay. */
  figure:not(.frame) > svg { filter: invert(.88) hue-rotate(180deg) brightness(1.2); }
  /* A map whose words speak of its light and dark stays as it is, on a dimmed ground. */
  figure > svg:has(image) { filter: none; background: #e9ebe8; border-radius: .3rem; }
}
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.55 "Segoe UI", "Helvetica Neue", "DejaVu Sans", sans-serif; }
main { max-width: 60rem; margin: 0 auto; padding: 1.5rem 1rem 4rem; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: .5rem 0 1rem; overflow-wrap: anywhere; }
h2 { font-size: 1.25rem; line-height: 1.3; margin: 2.75rem 0 .75rem; }
h3 { font-size: 1rem; margin: 1.75rem 0 .4rem; }
h3 + p { margin-top: 0; }
h4 { font-size: .95rem; margin: 1.25rem 0 .4rem; }
a { color: inherit; }
nav { margin: 1.5rem 0 0; font-size: .9rem; }
nav a { display: inline-block; margin: 0 .9rem .3rem 0; }
section > p, section > ul { max-width: 48rem; }
.band { background: var(--line); }
.apart { border-left: .3rem solid var(--mark); padding-left: .8rem; }
.source { color: var(--soft); font-size: .9rem; }
details > summary { cursor: pointer; padding: .35rem 0; }
.finding { font-size: 1.1rem; margin: .4rem 0; max-width: 48rem; }
h1 + .finding { font-size: 1.25rem; line-height: 1.4; font-weight: 600; margin-bottom: .7rem; }
.warning { border-left: .3rem solid var(--mark); padding: .4rem .8rem; background: var(--card);
  max-width: 48rem; }
figure { margin: 0 0 1rem; padding: .75rem; background: var(--card); border: 1px solid var(--line);
  border-radius: .4rem; }
figure > svg { display: block; width: 100%; max-width: 37rem; height: auto; max-height: 44rem;
  margin: 0 auto; }
figure li svg { display: block; width: 100%; height: auto; }
/* A shade at the right edge tells that there is more; what lies under it covers it at the end. */
.scroll { overflow-x: auto; border: 1px solid var(--line); border-radius: .4rem; background:
  linear-gradient(to left, var(--card) 50%, transparent) right / 3rem 100% no-repeat local,
  linear-gradient(to left, var(--line), transparent) right / 1.2rem 100% no-repeat, var(--card); }
table { border-collapse: separate; border-spacing: 0; width: 100%; font-size: .9rem;
  line-height: 1.45; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .35rem .7rem;
  border-bottom: 1px solid var(--line); }
thead th { color: var(--soft); font-weight: 600; vertical-align: bottom; }
tbody th { font-weight: 500; }
thead :is(th, td):first-child, th[scope="row"] { position: sticky; left: 0;
  background: var(--card); overflow-wrap: break-word; }
tbody tr:not(.band):hover > * { background: var(--under); }
td.short { white-space: nowrap; }
pre { margin: 0; padding: .7rem; font-size: .85rem; line-height: 1.45; }
.csv { margin: .3rem 0 1rem; font-size: .85rem; color: var(--soft); }
.card { border-top: 1px solid var(--line); padding: .8rem 0; }
.card h3 { margin: 0; overflow-wrap: anywhere; }
.card p { margin: .2rem 0 0; max-width: 48rem; overflow-wrap: anywhere; }
.scroll + figure, .csv + figure { margin-top: 1rem; }
.figures td { white-space: nowrap; }
.figures th[scope="row"] { min-width: 7.5rem; }
.figures th, .figures td { padding: .35rem .4rem; }
.figures :is(th, td):first-child { padding-left: .7rem; }
.assumed { font-size: .82rem; }
.assumed th, .assumed td { padding: .35rem .45rem; }
.assumed :is(th, td):first-child { padding-left: .7rem; }
.assumed :is(th, td):last-child { width: 48%; }
tbody:last-child > tr:last-child > * { border-bottom: 0; }
@media screen and (max-width: 40rem) {
  main { padding: .75rem .75rem 3rem; }
  h1 { font-size: 1.45rem; }
  .finding { font-size: 1.05rem; }
  h1 + .finding { font-size: 1.15rem; }
  figure { padding: .5rem .3rem; }
  table { font-size: .85rem; }
  td:not(.short, :first-child) { min-width: 7.2rem; }
  .wordy td:last-child:not(.short) { min-width: 15rem; }
  th[scope="row"] { max-width: 11.5rem; font-size: .8rem; box-shadow: inset -1px 0 var(--line); }
  /* Too wide for a phone, and too wordy to be scrolled: a row becomes a paragraph. */
  .assumed, .assumed tbody, .assumed tr, .assumed tbody th, .assumed td:last-child {
    display: block; width: auto; }
  .assumed thead { position: absolute; width: 1px; height: 1px; overflow: hidden;
    clip-path: inset(50%); }
  .assumed tr { padding: .55rem .7rem; border-bottom: 1px solid var(--line); }
  .assumed tbody :is(th, td):nth-child(n) { position: static; max-width: none; padding: 0;
    min-width: 0; border: 0; box-shadow: none; font-size: .85rem; white-space: normal; }
  .assumed tbody th { font-weight: 600; }
  .assumed td { display: inline; }
  .assumed td:last-child { color: var(--soft); }
  .assumed td:nth-child(3):not(:empty)::before { content: ", set-up spread "; }
  .assumed td:nth-child(4):not(:empty)::before { content: ", shot spread "; }
  .assumed td:nth-child(5)::before { content: "; "; }
}
@page { size: A4; margin: 14mm 15mm 16mm;
  @bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; } }
@media print {
  :root { --paper: #fff; --ink: #000; --soft: #444; --line: #bbb; }
  body { background: #fff; color: #000; font-size: 10pt; line-height: 1.4; }
  main { max-width: none; padding: 0; }
  h1 { font-size: 17pt; margin-top: 0; }
  h2 { font-size: 13pt; margin: 16pt 0 6pt; }
  p { orphans: 3; widows: 3; }
  .finding { font-size: 10.5pt; }
  h1 + .finding { font-size: 12pt; }
  figure { padding: 4pt; }
  figure > svg { max-width: 11cm; }
  .scroll { overflow: visible; background: none; border: 0; border-top: 1px solid var(--line);
    border-radius: 0; }
  table, .assumed { font-size: 8pt; line-height: 1.3; }
  pre { padding: 4pt 0; font-size: 7.5pt; white-space: pre-wrap; }
  thead { display: table-header-group; }
  /* A box of its own in a heading would keep it from being said again on the next sheet. */
  thead button { display: contents; }
  thead :is(th, td):first-child, th[scope="row"] { position: static; }
  th, td, .figures th, .figures td, .assumed th, .assumed td { padding: 2pt 5pt 2pt 0; }
  :is(.figures, .assumed) :is(th, td):first-child { padding-left: 0; }
  .figures td:not(.short) { white-space: normal; }
  .csv, nav { display: none; }
  .contact { grid-template-columns: repeat(8, 1fr) !important; gap: 6pt !important;
    font-size: 72%; }
  .contact .place { display: none; }
  .missed { grid-template-columns: repeat(4, 1fr) !important; gap: 6pt !important;
    font-size: 85%; }
  .source { font-size: 8.5pt; }
  figure, tr, .card, .warning, .finding { break-inside: avoid; }
  h2, h3, h4 { break-after: avoid; }
}
"""
