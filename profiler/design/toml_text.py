"""TOML files read with care: limits before parsing, and the line of each key for every message after it."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from ..faults import Fault
from ..lengths import shown

MAX_BYTES = 256 * 1024
MAX_NESTING = 20
MAX_DOTS = 20
MAX_DIGITS = 300
MAX_ENTRIES = 1000
"""Most faults told at once: past these she mends and reads again."""

# Every alternative matches whatever follows, closed or not, and gives no character back: the scan is linear.
_TOKEN = re.compile(
    r'''(?P<string>"""(?:[^"\\]++|\\[\s\S]|"(?!""))*+(?:""""{0,2})?
          |\'\'\'(?:[^']++|'(?!''))*+(?:\'\'\''{0,2})?
          |"(?:[^"\\\n]++|\\.)*+"?
          |'[^'\n]*+'?)
      |(?P<comment>\#[^\n]*+)
      |(?P<newline>\n)
      |(?P<word>[^\s"'\#\[\]{},.=]++)
      |(?P<mark>[\[\]{},.=])''',
    re.VERBOSE,
)
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_BARE = re.compile(r"[A-Za-z0-9_-]{1,60}")
_PARSER_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_DECIMAL_COMMA = re.compile(r"[\w.]+ *= *(-?[0-9]{1,6}),([0-9]{1,6})(?: *#.*)?")


class _Token(NamedTuple):
    kind: str
    text: str
    start: int


@dataclass(frozen=True, eq=False)
class TomlText:
    """A file that was read.

    Attributes:
        path: where it stands.
        data: what it says.
        lines: line of each key by its dotted name, from 1.
    """

    path: Path
    data: dict[str, Any]
    lines: dict[str, int]

    def line_of(self, dotted: Sequence[str | int]) -> int | None:
        """Line of a key, or of the nearest table or list around it; None where there is none."""
        return self._line(dotted_key(dotted))

    def fault(self, fault: Fault) -> Fault:
        """The fault with this file, and the line of its field, where it had none."""
        return fault.placed(self.path, self._line(fault.field))

    def _line(self, name: str) -> int | None:
        while name and name not in self.lines:
            name = name.rpartition(".")[0]
        return self.lines.get(name)


def read_toml(path: Path) -> TomlText:
    """A TOML file, with its lines.

    Raises:
        Fault: no such file, not text, over a limit, or not TOML; with file and, where there is one, line.
    """
    text = text_of(path)
    breaks = [match.start() for match in re.finditer("\n", text)]
    tokens = [_Token(m.lastgroup or "", m.group(), m.start()) for m in _TOKEN.finditer(text)]
    for what, wanted, start in _over_limits(tokens):
        raise Fault(what, wanted=wanted, file=path, line=bisect_left(breaks, start) + 1)
    try:
        data = tomllib.loads(text)
    except ValueError as error:  # TOMLDecodeError, or a date that does not exist
        raise _parser_fault(path, text, str(error)) from None
    result = TomlText(path, data, _Lines(tokens, breaks).found())
    for place, count in _long_lists(data):
        wanted = f"at most {MAX_ENTRIES:,}"
        raise result.fault(Fault("a list is too long", f"{count:,} entries", wanted, dotted_key(place)))
    return result


def text_of(path: Path, wanted: str = "a TOML file", most_bytes: int = MAX_BYTES) -> str:
    """The text of a file of a potter's, its lines ended by newlines.

    Args:
        path: the file.
        wanted: what it should be, for the message.
        most_bytes: how large it may be.

    Raises:
        Fault: no such file, too large, or not UTF-8 text.
    """
    try:
        if path.is_dir():
            raise Fault("a folder, not a file", wanted=wanted, file=path)
        if path.exists() and not path.is_file():  # reading a pipe could wait for ever
            raise Fault("not an ordinary file", wanted=wanted, file=path)
        with path.open("rb") as file:
            raw = file.read(most_bytes + 1)
    except FileNotFoundError:
        raise Fault("no such file", wanted=wanted, file=path) from None
    except OSError as error:
        raise Fault(f"the file cannot be read: {error.strerror}", file=path) from None
    if len(raw) > most_bytes:
        raise Fault("the file is too large", wanted=f"at most {most_bytes // 1024} kB", file=path)
    if raw.startswith(_UTF_16):
        raise Fault("UTF-16 text", wanted="UTF-8 text: save it again with that encoding", file=path, line=1)
    if b"\0" in raw:
        what = "not a text file: it holds a zero byte"
        raise Fault(what, wanted="UTF-8 text", file=path, line=_line_at(raw, raw.index(b"\0")))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = shown(raw[error.start : error.end])
        line = _line_at(raw, error.start)
        raise Fault("not UTF-8 text", found, "UTF-8 text", file=path, line=line) from None
    return text.replace("\r\n", "\n")


def _line_at(raw: bytes, start: int) -> int:
    return raw.count(b"\n", 0, start) + 1


def _over_limits(tokens: list[_Token]) -> Iterator[tuple[str, str, int]]:
    """Each breach of a limit as (what, wanted, offset), before a parser sees the text."""
    depth = dots = 0
    for kind, text, start in tokens:
        if kind == "mark" and text == ".":
            dots += 1
            if dots > MAX_DOTS:
                yield "a key has too many dots", f"at most {MAX_DOTS}", start
        elif kind == "word":
            # Such a word is a number, or a bare key nobody needs.
            if len(text) > MAX_DIGITS and text.lstrip("+-")[:1].isdigit():
                yield "a number has too many digits", f"at most {MAX_DIGITS}", start
        elif kind != "string":
            dots = 0
            depth += (text in ("[", "{")) - (text in ("]", "}"))
            if depth > MAX_NESTING:
                yield "brackets are nested too deep", f"at most {MAX_NESTING} deep", start


def _parser_fault(path: Path, text: str, message: str) -> Fault:
    rows = text.split("\n")
    place = _PARSER_PLACE.search(message)
    line = int(place[1]) if place and place[1] else len(text.rstrip().split("\n"))
    reason = _PARSER_PLACE.sub("", message)
    row = rows[line - 1].strip()
    comma = _DECIMAL_COMMA.fullmatch(row)
    wanted = f"a point for decimals: {comma[1]}.{comma[2]}" if comma else ""
    return Fault(f"not valid TOML: {reason}", shown(row), wanted, file=path, line=line)


def _long_lists(data: dict[str, Any]) -> Iterator[tuple[tuple[str | int, ...], int]]:
    waiting: list[tuple[tuple[str | int, ...], Any]] = [((), data)]
    while waiting:
        place, value = waiting.pop()
        if isinstance(value, list):
            if len(value) > MAX_ENTRIES:
                yield place, len(value)
            waiting += [((*place, i), v) for i, v in enumerate(value) if isinstance(v, list | dict)]
        elif isinstance(value, dict):
            waiting += [((*place, k), v) for k, v in value.items() if isinstance(v, list | dict)]


def quoted_part(part: str | int) -> str:
    """One part of a dotted key, quoted if it is not a bare word."""
    return part if isinstance(part, str) and _BARE.fullmatch(part) else shown(part)


def dotted_key(place: Sequence[str | int]) -> str:
    """A place in the file as its dotted key, parts quoted where TOML would quote them."""
    return ".".join(quoted_part(p) for p in place)


class _Lines:
    """Walks the tokens of a text that is known to be TOML, and notes where each key and entry stands."""

    def __init__(self, tokens: list[_Token], breaks: list[int]) -> None:
        end = breaks[-1] + 1 if breaks else 0
        self.tokens = [*tokens, _Token("newline", "\n", max(end, tokens[-1].start + 1 if tokens else 0))]
        self.breaks = breaks
        self.at = 0
        self.lines: dict[str, int] = {}
        self.last_entry: dict[str, int] = {}  # of each array of tables

    def found(self) -> dict[str, int]:
        table = ""
        while self.at < len(self.tokens):
            kind, text, _ = self.tokens[self.at]
            if kind in ("newline", "comment"):
                self.at += 1
            elif text == "[":
                table = self._header()
            else:
                self._pair(table)
        return self.lines

    def _note(self, name: str, start: int) -> None:
        if name not in self.lines:
            self.lines[name] = bisect_left(self.breaks, start) + 1

    def _keys(self) -> list[tuple[str, int]]:
        """The parts of a dotted key and where they start; ends on what follows the key."""
        parts = []
        while True:
            kind, text, start = self.tokens[self.at]
            if kind in ("word", "string"):
                parts.append((quoted_part(_plain(text)), start))
            elif text != ".":
                return parts
            self.at += 1

    def _header(self) -> str:
        opening, following = self.tokens[self.at : self.at + 2]
        many = following.text == "[" and following.start == opening.start + 1
        self.at += 1 + many
        parts = self._keys()
        self.at += 1 + many
        name = ""
        for index, (part, start) in enumerate(parts):
            name = f"{name}.{part}" if name else part
            self._note(name, start)
            if many and index == len(parts) - 1:
                self.last_entry[name] = self.last_entry.get(name, -1) + 1
            if name in self.last_entry:
                name = f"{name}.{self.last_entry[name]}"
                self._note(name, start)
        return name

    def _pair(self, table: str) -> None:
        name = table
        for part, start in self._keys():
            name = f"{name}.{part}" if name else part
            self._note(name, start)
        self.at += 1  # the equals sign
        self._value(name)

    def _value(self, name: str) -> None:
        opening = self.tokens[self.at]
        if opening.kind != "mark" or opening.text not in "[{":
            while self.tokens[self.at].text not in (",", "]", "}") and not self._blank():
                self.at += 1
            return
        self.at += 1
        entry = 0
        while True:
            kind, text, start = self.tokens[self.at]
            if self._blank():
                self.at += 1
            elif kind == "mark" and text in "]}":
                self.at += 1
                return
            elif kind == "mark" and text == ",":
                entry += 1
                self.at += 1
            elif opening.text == "{":
                self._pair(name)
            else:
                self._note(f"{name}.{entry}", start)
                self._value(f"{name}.{entry}")

    def _blank(self) -> bool:
        return self.tokens[self.at].kind in ("newline", "comment")


def _plain(text: str) -> str:
    if text[0] == '"' and "\\" in text:
        return str(tomllib.loads(f"key = {text}")["key"])
    return text[1:-1] if text[0] in "\"'" else text
