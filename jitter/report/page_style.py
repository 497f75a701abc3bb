"""The look of our pages: one column, quiet colours, light and dark, screen and print."""

STYLE = """
:root { --ink: #22303c; --soft: #5b6b77; --paper: #fbfaf7; --card: #ffffff; --line: #d9dfe3;
  --mark: #a8480f; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e4e9ec; --soft: #a5b1ba; --paper: #161c21; --card: #1e262c; --line: #36424b;
    --mark: #f0a06a; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.55 "Segoe UI", "Helvetica Neue", "DejaVu Sans", sans-serif; }
main { max-width: 60rem; margin: 0 auto; padding: 1.5rem 1rem 4rem; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: .5rem 0 1rem; overflow-wrap: anywhere; }
h2 { font-size: 1.2rem; margin: 2.5rem 0 .75rem; }
h3 { font-size: 1rem; margin: 1.75rem 0 .4rem; }
h3 + p { margin-top: 0; }
h4 { font-size: .95rem; margin: 1.25rem 0 .4rem; }
a { color: inherit; }
nav a { display: inline-block; margin: 0 .9rem .3rem 0; }
.band { background: var(--line); }
.apart { border-left: .3rem solid var(--mark); padding-left: .8rem; }
.source { color: var(--soft); font-size: .9rem; }
details > summary { cursor: pointer; padding: .35rem 0; }
.finding { font-size: 1.1rem; margin: .4rem 0; max-width: 48rem; }
.warning { border-left: .3rem solid var(--mark); padding: .4rem .8rem; background: var(--card);
  max-width: 48rem; }
figure { margin: 0 0 1rem; padding: .75rem; background: #ffffff; border: 1px solid var(--line);
  border-radius: .4rem; }
figure svg { display: block; width: 100%; height: auto; max-height: 40rem; }
.scroll { overflow-x: auto; background: var(--card); border: 1px solid var(--line);
  border-radius: .4rem; }
table { border-collapse: collapse; width: 100%; font-size: .9rem;
  font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .35rem .7rem;
  border-bottom: 1px solid var(--line); }
thead th { color: var(--soft); font-weight: 600; }
tbody th { font-weight: 500; }
td.short { white-space: nowrap; }
.csv { margin: .3rem 0 1rem; font-size: .85rem; color: var(--soft); }
.card { border-top: 1px solid var(--line); padding: .8rem 0; }
.card h3 { margin: 0; overflow-wrap: anywhere; }
.card p { margin: .2rem 0 0; max-width: 48rem; overflow-wrap: anywhere; }
.scroll + figure { margin-top: 1rem; }
.figures td { white-space: nowrap; }
.figures tbody th { min-width: 7.5rem; }
.figures th, .figures td { padding: .35rem .4rem; }
tbody tr:last-child > * { border-bottom: 0; }
@media print {
  body { background: #fff; color: #000; font-size: 10pt; }
  main { max-width: none; padding: 0; }
  .scroll { overflow: visible; }
  table { font-size: 8pt; }
  .figures td { white-space: normal; }
  .csv { display: none; }
  .contact { grid-template-columns: repeat(6, 1fr) !important; font-size: 80%; }
  figure, tr, .card { break-inside: avoid; }
  h2, h3, h4 { break-after: avoid; }
}
"""
