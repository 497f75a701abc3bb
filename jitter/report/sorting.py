"""The little script that lets a reader sort a ranking; a page reads the same without it."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256

RANKING = "figures ranking"
"""The kind of table whose columns can be sorted by."""

SCRIPT = """
for (const table of document.querySelectorAll("table.ranking")) {
  const body = table.tBodies[0], ranked = [...body.rows];
  const heads = [...table.tHead.rows[0].cells];
  const words = (row, column) => row.cells[column].textContent.trim();
  const parsed = text => /^[~<>≈]?\\s*([+-]?\\d[\\d,]*\\.?\\d*)\\s*([^\\s\\d(±]*)/.exec(
    text.replace("\\u2212", "-"));
  const compared = column => {
    const all = ranked.map(row => parsed(words(row, column)));
    const units = new Set(all.filter(one => one && Number(one[1])).map(one => one[2]));
    if (units.size > 1 || all.every(one => !one))
      return { up: (a, b) => words(a, column).localeCompare(words(b, column)), down: false };
    const size = row => {
      const one = parsed(words(row, column));
      return one ? Number(one[1].replaceAll(",", "")) : -Infinity;
    };
    return { up: (a, b) => size(a) - size(b), down: true };
  };
  const sort = (head, column, turned) => {
    for (const other of heads) other.removeAttribute("aria-sort");
    const { up, down } = compared(column);
    const falling = down === (turned === 1);
    if (turned) head.setAttribute("aria-sort", falling ? "descending" : "ascending");
    const rows = [...ranked];
    if (turned) rows.sort((a, b) => falling ? up(b, a) : up(a, b));
    body.append(...rows);
  };
  heads.forEach((head, column) => {
    if (!head.textContent || ranked.length < 3) return;
    const button = document.createElement("button");
    button.append(...head.childNodes);
    button.title = "sort by this column; once more: the other way; a third time: as it was";
    head.append(button);
    let turned = 0;
    button.addEventListener("click", () => {
      turned = head.hasAttribute("aria-sort") ? (turned + 1) % 3 : 1;
      sort(head, column, turned);
    });
  });
}
"""
"""Numbers are sorted by size, the largest first, where a column has one unit; all else by name."""

LOOK = """
thead button { font: inherit; color: inherit; text-align: inherit; background: none; border: 0;
  padding: 0; cursor: pointer; }
thead button::after { content: "\\00a0\\2195"; opacity: .6; }
[aria-sort="descending"] button::after { content: "\\00a0\\2193"; opacity: 1; }
[aria-sort="ascending"] button::after { content: "\\00a0\\2191"; opacity: 1; }
@media print { thead button::after { content: none !important; } }
"""


def policy() -> str:
    """Return what a page may load or run, as a browser enforces it: this script and no other.

    References
    ----------
    W3C, Content Security Policy Level 3, section 6.7.3.3: a script is known by its digest.
    """
    digest = b64encode(sha256(SCRIPT.encode()).digest()).decode()
    return (
        "default-src 'none'; img-src data:; style-src 'unsafe-inline';"
        f" script-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )
