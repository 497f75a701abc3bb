"""The gallery of looks: what each kind of frame looks like, what brings it about, what to try."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from jitter.answers.typical import Example
from jitter.report.frames.causes import KINDS, causes_here
from jitter.report.frames.picture import picture
from jitter.report.frames.view import View, middle
from jitter.report.frames.words import how_drawn
from jitter.report.html import paragraphs
from jitter.stages.look import LOOKS
from jitter.study.study import Study

ROW = "display:flex;flex-wrap:wrap;gap:0 1.25rem;align-items:flex-start;break-inside:avoid"
PICTURE, TEXT = "flex:0 1 13rem", "flex:1 1 18rem"


def gallery(study: Study, examples: Mapping[int, Example]) -> str:
    """Return the gallery as HTML: of each look a drawn frame, its meaning, causes and remedy.

    Parameters
    ----------
    study
        The rig; causes that it cannot have are left out.
    examples
        Typical frames, by look, from `jitter.answers.typical.examples`.
    """
    view = middle([example.scene for example in examples.values()]) if examples else None
    parts = []
    if view is not None:
        parts.append(paragraphs((how_drawn(next(iter(examples.values())).scene, view),)))
    for look in range(len(LOOKS)):
        example = examples.get(look)
        drawn = "" if example is None or view is None else _picture(look, example, view)
        parts.append(f'<div style="{ROW}">{drawn}<div style="{TEXT}">')
        parts.append(f"{_words(study, look, example)}</div></div>")
    return "".join(parts)


def _picture(look: int, example: Example, view: View) -> str:
    label = f"{LOOKS[look]}. {KINDS[LOOKS[look]].meaning}"
    svg = picture(example.scene, label=label, name=f"look-{look}", view=view)
    return f'<figure class="frame" style="{PICTURE}">{svg}</figure>'


def _words(study: Study, look: int, example: Example | None) -> str:
    """Return meaning, causes and remedy of a look."""
    kind = KINDS[LOOKS[look]]
    parts = [f'<h3 style="margin-top:0">{escape(LOOKS[look])}</h3>']
    parts.append(f"<p>{escape(kind.meaning)}</p>")
    causes = causes_here(study, look)
    if causes:
        items = "".join(
            f"<li>{escape(cause.words)}{'' if cause.keys else ' (not simulated)'}</li>"
            for cause in causes
        )
        parts.append(f"<p>Usual causes:</p><ul>{items}</ul>")
    parts.append(f"<p><strong>First:</strong> {escape(kind.remedy)}</p>")
    note = ""
    if example is None:
        note = "Not drawn: nothing that we tried makes this rig show it often."
    elif example.what_if:
        note = f"Drawn with a what-if, since this rig seldom shows it clearly: {example.what_if}."
    if note:
        parts.append(f'<p class="source">{escape(note)}</p>')
    return "".join(parts)
