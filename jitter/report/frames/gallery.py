"""The gallery of looks: what each kind of frame looks like, what brings it about, what to try."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from jitter.answers.typical import Example
from jitter.report.frames.causes import KINDS, causes_here
from jitter.report.frames.drawn import magnified
from jitter.report.frames.picture import picture
from jitter.report.frames.view import View, middle
from jitter.report.html import paragraphs
from jitter.stages.look import LOOKS
from jitter.study.study import Study
from jitter.units.writing import write_number, write_value

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
    parts = [paragraphs(_how_drawn(examples, view))] if view is not None else []
    for look in range(len(LOOKS)):
        example = examples.get(look)
        drawn = "" if example is None or view is None else _picture(look, example, view)
        parts.append(f'<div style="{ROW}">{drawn}<div style="{TEXT}">')
        parts.append(f"{_words(study, look, example)}</div></div>")
    return "".join(parts)


def _how_drawn(examples: Mapping[int, Example], view: View) -> tuple[str, ...]:
    """Return what one has to know about the pictures."""
    scene = next(iter(examples.values())).scene
    larger = magnified(scene, view)
    said = (
        f"Drawn from simulated frames of this study, true to scale: every picture is"
        f" {write_value(view.width, 'm', digits=2)} wide in the plane of focus"
    )
    if view.width < 0.99 * scene.width:
        said += f", cut from a frame of {write_value(scene.width, 'm', digits=2)}"
    blur = ""
    if larger > 1.05:
        blur = (
            f" Blur is drawn {write_number(larger, 2)} times as large as it is, so that it shows at"
            " this size."
        )
    return (
        f"{said}.{blur} Blue is the liquid of the dish and the first drop, orange the second drop"
        " and the umbrella that it makes.",
    )


def _picture(look: int, example: Example, view: View) -> str:
    label = f"{LOOKS[look]}. {KINDS[LOOKS[look]].meaning}"
    svg = picture(example.scene, label=label, name=f"look-{look}", view=view)
    return f'<figure style="{PICTURE}">{svg}</figure>'


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
