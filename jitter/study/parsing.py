"""Parse a study's text: a line that needs no more than quotes is mended, so that all is told."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any, NamedTuple

from jitter.errors import Fault, MistakeError
from jitter.study.statements import STRING

MOST = 100
"""Lines that are mended; whoever has more of them has seen how it goes."""
_CURLY = str.maketrans(dict.fromkeys("“”„‟«»‘’‚‛", '"'))
_KEY, _REST = r"""(?P<key>[^=#"']+=\s*)""", r"(?P<rest>\s*(?:#.*)?)"
_HALF_QUOTED = re.compile(rf"""{_KEY}["'](?P<value>[^"'#\\]+?)["']?{_REST}""")
_UNQUOTED = re.compile(rf"""{_KEY}(?P<value>[^"'#=,\[\]{{}}\\]+?){_REST}""")
_INCHES = re.compile(rf"""{_KEY}"(?P<value>[^"'#\\]*\d)\s*""{_REST}""")
_BARE = re.compile(r"""[=,\[]\s*(?P<value>[^\s"=,\[\]{}\\#][^"=,\[\]{}\\#]*?)\s*(?=[,\]}\#]|$)""")
_WORDS = {
    "Illegal character": "a quote on this line is never closed",
    'Expected "\'"': "a quote that begins at ' is never closed",
    "Cannot overwrite": "this key stands twice",
    "Cannot declare": "this section stands twice",
    "Expected newline": "something is left over after the value; are quotes missing?",
    "Invalid value": "the value is in no quotes, or missing",
    "Expected '='": "an equals sign is missing",
    "Unclosed": "a bracket is not closed, or a comma is missing",
}
"""What the TOML reader says, in words for people who never heard of it."""


class Parsed(NamedTuple):
    """A document, the text it was read from, quotes mended, and the lines that wanted them."""

    document: dict[str, Any]
    text: str
    faults: list[Fault]


def parse(text: str, source: str) -> Parsed:
    """Parse the text of a study.

    Parameters
    ----------
    text
        The TOML document.
    source
        Its name, for messages.

    Raises
    ------
    MistakeError
        If a line cannot be read, and would not be with quotes.

    Examples
    --------
    >>> parsed = parse("flash.power = 1/64", "rig.toml")
    >>> parsed.document, parsed.faults[0].right
    ({'flash': {'power': '1/64'}}, 'write flash.power = "1/64"')
    """
    faults: list[Fault] = []
    while True:
        try:
            document, broken = _loaded(text), None
        except tomllib.TOMLDecodeError as error:
            document, broken = {}, str(error)
        except (ValueError, RecursionError):
            wrong = "it holds a number too long, or brackets too deep, to be read"
            right = 'write values such as "19 in"'
            raise MistakeError([*faults, Fault(source, None, "the file", wrong, right)]) from None
        if broken is None:
            return Parsed(document, text, faults)
        number = _line(broken, text)
        lines = text.split("\n")
        line = lines[number - 1]
        key = line.partition("=")[0].strip() or "the file"
        for why, mended in _mended(line) if len(faults) < MOST else ():
            lines[number - 1] = mended
            longer = "\n".join(lines)
            if _gets_past(longer, number):
                wrong, right = f"this line cannot be read: {why}", f"write {mended.strip()}"
                faults.append(Fault(source, number, key, wrong, right))
                text = longer
                break
        else:
            wrong = f"this line cannot be read: {_in_words(broken)}"
            right = 'write key = "value" with straight quotes, one to a line, under a [section]'
            raise MistakeError([*faults, Fault(source, number, key, wrong, right)])


def _loaded(text: str) -> dict[str, Any]:
    return tomllib.loads(text.removeprefix("\ufeff"))


def _line(broken: str, text: str) -> int:
    """Return the line that the TOML reader names; it may say that it came to the end."""
    at = re.search(r"\(at line (\d+)", broken)
    return int(at[1]) if at else text.count("\n") + 1


def _gets_past(text: str, number: int) -> bool:
    try:
        _loaded(text)
    except tomllib.TOMLDecodeError as broken:
        return _line(str(broken), text) > number
    except (ValueError, RecursionError):
        return False
    return True


def _mended(line: str) -> Iterator[tuple[str, str]]:
    """Yield what may be wrong with a line's quotes, each with the line as it would be right."""
    if not line.rstrip("\r").replace("\t", " ").isprintable():
        return
    if (straight := line.translate(_CURLY)) != line:
        yield "its quotes are not straight ones", straight
    for why, pattern, unit in (
        ("an inch mark ends its quotes", _INCHES, " in"),
        ("a quote is missing", _HALF_QUOTED, ""),
        ("its value is not in quotes", _UNQUOTED, ""),
    ):
        if found := pattern.fullmatch(line):
            yield why, f'{found["key"]}"{found["value"]}{unit}"{found["rest"]}'
    # Strings are blanked, so that what is looked for is never found in one.
    blank = STRING.sub(lambda string: '"' * len(string[0]), line)
    blank = blank.partition("#")[0].rstrip()
    quoted = line
    for bare in reversed(list(_BARE.finditer(blank))):
        if not _stands_alone(bare["value"]):
            start, end = bare.span("value")
            quoted = f'{quoted[:start]}"{quoted[start:end]}"{quoted[end:]}'
    # The name of a section is bare too, and right so; what opens and never closes wants more.
    closed = blank.count("[") == blank.count("]") and blank.count("{") == blank.count("}")
    if quoted != line and closed and ("=" in blank or "," in blank):
        yield "what is no plain number is not in quotes", quoted


def _stands_alone(value: str) -> bool:
    """Whether TOML takes a value without quotes."""
    try:
        return bool(tomllib.loads(f"value = {value}"))
    except ValueError:
        return False


def _in_words(broken: str) -> str:
    said = re.sub(r" [(]at .*", "", broken)
    return next((ours for theirs, ours in _WORDS.items() if said.startswith(theirs)), said)
