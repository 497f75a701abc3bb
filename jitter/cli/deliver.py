"""Hand an answer over: print its screen or its document, write its page and the tables beside."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import Any

import typer

from jitter.cli.console import print_screen, write_page
from jitter.cli.meter import Meter

DRAWING = "drawing the page, a second or two left"


def deliver(
    question: str,
    answer: object,
    *,
    as_json: bool,
    target: Path | None,
    quiet: bool,
    blocks: bool = False,
    beside: Callable[[], object] | None = None,
) -> None:
    """Print an answer and write its page.

    Parameters
    ----------
    question
        The folder of the report that turns it into a screen, a document and a page, each by a
        function of the question's name, such as ``plan_screen`` in ``screen.py``.
    answer
        To the question.
    as_json
        Whether the document is printed in place of the screen.
    target
        Where the page goes; None where none is wanted.
    quiet
        Whether to say nothing of the page.
    blocks
        Whether the screen asks if block characters can be shown.
    beside
        Makes what the page shows beside the answer.

    Raises
    ------
    MistakeError
        If the page cannot be written.
    """
    if as_json:
        document = _made_by(question, "document")(answer)
        typer.echo(json.dumps(document, indent=2, ensure_ascii=True, allow_nan=False))
    else:
        screen = _made_by(question, "screen")
        print_screen(
            lambda width, shown: (
                screen(answer, width=width, blocks=shown) if blocks else screen(answer, width=width)
            )
        )
    if target is not None:
        # Imported here so that a document waits for nothing else.
        from jitter.report.finish import finish

        with Meter(quiet=quiet, at_first=DRAWING):
            page = _made_by(question, "page")
            html = page(answer) if beside is None else page(answer, beside())
            finished = finish(
                html,
                target,
                question=question,
                answer=answer,
                document=_made_by(question, "document")(answer),
                made=datetime.now().astimezone(),
            )
        write_page(finished.html, target, sheets=finished.sheets, quiet=quiet)


def _made_by(question: str, form: str) -> Callable[..., Any]:
    """Return the function of the report that makes one form of an answer.

    It is imported when it is needed: pages bring the plotting library, which takes a second.
    """
    # The first question stands in the report room itself.
    room = "jitter.report" if question == "run" else f"jitter.report.{question}"
    made: Callable[..., Any] = getattr(import_module(f"{room}.{form}"), f"{question}_{form}")
    return made
