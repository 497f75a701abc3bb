"""What several tests share: the shipped rigs and one answer about the default one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from jitter.answers.run import RunAnswer, answer_run
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.validation.validate import Validation, validate

ROOT = Path(__file__).parent.parent
STUDIES = ROOT / "studies"


def load(name: str, *settings: str) -> Study:
    """Read a shipped study with some values changed."""
    text = (STUDIES / f"{name}.toml").read_text(encoding="utf-8")
    return read_study(text, source=f"{name}.toml", chain=CHAIN, settings=settings)


@pytest.fixture(scope="session")
def barn() -> RunAnswer:
    """A small answer about the default rig."""
    return answer_run(load("barn-table"), CHAIN, setups=256, shots=16)


@pytest.fixture(scope="session")
def found() -> Validation:
    """Everything that was compared with the outside."""
    return validate()


@pytest.fixture
def make_study() -> Callable[..., Study]:
    """The reader of shipped studies."""
    return load
