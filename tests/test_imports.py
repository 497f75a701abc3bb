"""The road has one direction: which room of the package may import from which."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import jitter

PACKAGE = Path(jitter.__file__).parent
FILES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
}

# By room: the rooms that it may import from, besides itself.
FOUNDATION = ("quantities", "arrays", "stage")
READING = (*FOUNDATION, "errors", "units", "study")
TRIAL = (*READING, "draws", "trial")
ANSWERS = (*TRIAL, "stages", "records", "smooth", "answers")
ALLOWED: dict[str, tuple[str, ...]] = {
    "": (),
    "errors": (),
    "quantities": (),
    "arrays": (),
    "files": (),
    "stage": ("quantities", "errors"),
    "stages": FOUNDATION,
    "units": ("quantities", "errors"),
    "records": ("errors", "quantities", "units", "stages"),
    "study": ("quantities", "stage", "errors", "units"),
    "draws": ("study", "quantities", "arrays"),
    "trial": ("draws", "study", "stage", "quantities", "errors"),
    "smooth": (*TRIAL, "stages"),
    "answers": ANSWERS,
    "validation": ANSWERS,
    "report": (*ANSWERS, "", "files", "validation"),
    "cli": (*ANSWERS, "", "files", "validation", "report"),
    "__main__": ("cli",),
}

# Pictures, tables and screens belong to the report; files to it and to the command line.
PICTURES = {"pandas", "seaborn", "matplotlib", "rich", "typer", "click"}
ENDINGS = {"print", "exit", "quit", "sys.exit", "os._exit", "input", "breakpoint"}
SCREEN_ROOMS = {"cli", "__main__"}
FILE_ROOMS = {"cli", "__main__", "report", "files"}


def _room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def _imported(tree: ast.AST) -> Iterator[str]:
    """Yield every module that a file imports, anywhere in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "write imports out in full"
            assert node.module is not None
            inner = [f"{node.module}.{alias.name}" for alias in node.names]
            modules = [name for name in inner if name in FILES]
            yield from modules
            if len(modules) < len(inner):
                yield node.module


def _ended(tree: ast.AST) -> Iterator[str]:
    """Yield every call that prints, asks or ends the program, and every raise that ends it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ENDINGS:
            yield ast.unparse(node.func)
        elif isinstance(node, ast.Raise) and node.exc is not None:
            raised = ast.unparse(node.exc)
            if raised.startswith("SystemExit"):
                yield raised
        elif isinstance(node, ast.Attribute) and ast.unparse(node) in ("sys.stdout", "sys.stderr"):
            yield ast.unparse(node)


def _tree(module: str) -> ast.AST:
    return ast.parse(FILES[module].read_text(encoding="utf-8"))


def test_every_room_has_its_row() -> None:
    assert {_room(module) for module in FILES} == set(ALLOWED)


def test_the_table_has_no_way_back() -> None:
    """No room can be reached from itself by way of another."""
    for room in ALLOWED:
        reached: set[str] = set()
        open_rooms = set(ALLOWED[room]) - {room}
        while open_rooms:
            next_room = open_rooms.pop()
            assert next_room != room
            reached.add(next_room)
            open_rooms |= set(ALLOWED[next_room]) - {next_room} - reached


@pytest.mark.parametrize("module", FILES)
def test_imports_go_down_the_road_only(module: str) -> None:
    room = _room(module)
    used = {_room(name) for name in _imported(_tree(module)) if name.split(".")[0] == "jitter"}
    assert used - {room} <= set(ALLOWED[room])


@pytest.mark.parametrize("module", FILES)
def test_only_the_command_line_prints_or_exits(module: str) -> None:
    tree = _tree(module)
    if _room(module) not in SCREEN_ROOMS:
        assert list(_ended(tree)) == []
        assert not {"typer", "click", "argparse"} & {name.split(".")[0] for name in _imported(tree)}


@pytest.mark.parametrize("module", FILES)
def test_reckoning_knows_neither_pictures_nor_files(module: str) -> None:
    room = _room(module)
    used = {name.split(".")[0] for name in _imported(_tree(module))}
    if room not in {"cli", "report"}:
        assert not used & PICTURES
    if room not in FILE_ROOMS:
        assert not used & {"pathlib", "tempfile", "shutil", "io"}
        calls = (node.func for node in ast.walk(_tree(module)) if isinstance(node, ast.Call))
        assert "open" not in {ast.unparse(call) for call in calls}


DRAWING = {"matplotlib"}
TABLES = {"pandas", "seaborn", "matplotlib.pyplot", "scipy.stats"}
"""Half a second and more to import, for what plain axes and a loop do as well."""
STUDY = str(PACKAGE.parent / "studies" / "barn-table.toml")
FEW = ("--setups", "16", "--shots", "4")


def _loaded(*command: str) -> set[str]:
    """Return every module that a command imports."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "jitter", *command],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    return {
        line.rpartition("|")[2].strip()
        for line in done.stderr.splitlines()
        if line.startswith("import time:")
    }


@pytest.mark.parametrize("command", [("--help",), ("--version",), ("run", "--help")], ids=" ".join)
def test_help_waits_for_no_library(command: tuple[str, ...]) -> None:
    loaded = _loaded(*command)
    assert "typer" in loaded
    assert not loaded & {"numpy", "scipy", "rich", *DRAWING, *TABLES}


def test_a_list_of_quantities_waits_for_no_reckoning() -> None:
    loaded = _loaded("quantities")
    assert "rich" in loaded
    assert not loaded & {"scipy", *DRAWING, *TABLES}


@pytest.mark.parametrize("question", ["run", "show"])
def test_a_document_waits_for_no_drawing(question: str) -> None:
    loaded = _loaded(question, STUDY, *FEW, "--json")
    assert "scipy.special" in loaded
    assert not loaded & {"rich", *DRAWING, *TABLES}


@pytest.mark.parametrize("question", ["run", "show"])
def test_a_page_is_drawn_without_the_heavier_libraries(question: str, tmp_path: Path) -> None:
    loaded = _loaded(question, STUDY, *FEW, "--out", str(tmp_path / "page.html"))
    assert loaded >= {"rich", *DRAWING}
    assert not loaded & TABLES


def test_a_study_is_judged_without_the_heavy_libraries() -> None:
    code = (
        "import sys; from jitter.study.reader import read_study; from jitter.stages import CHAIN; "
        "read_study('version = 1', source='rig.toml', chain=CHAIN); "
        f"print([name for name in {sorted(DRAWING | TABLES | {'scipy'})} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == "[]"
