"""The text face: how wide a line of text is, and what to show for a character the face lacks."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

FAMILY = "DejaVu Sans"
"""The family as a browser or a vector program knows it."""

REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"
"""The two faces as the PDF writer knows them once `register` has run."""

ASCENT, DESCENT = 0.93, 0.24
"""How far the face reaches above and below the baseline, in font sizes (its own `hhea` table)."""

BOX = "\u25a1"
"""Stands for a character that cannot be shown."""

# Control, format and surrogate characters, line and paragraph separators: no face shows them as a mark.
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


@dataclass(frozen=True, eq=False)
class _Metrics:
    """What is needed of a face: the advance of each character it has, in font sizes."""

    advance: dict[int, float]


def file_of(bold: bool = False) -> Path:
    """The face's file, found in the installed plotting library without importing it.

    Raises:
        FileNotFoundError: the library or its face is not installed.
    """
    # matplotlib is looked up, never imported: importing it takes longer than all of `measure`.
    spec = find_spec("matplotlib")
    if spec is None or spec.origin is None:
        raise FileNotFoundError("the text face is missing: the package matplotlib, which brings it, is not installed")
    path = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / f"{BOLD if bold else REGULAR}.ttf"
    if not path.is_file():
        raise FileNotFoundError(f"the text face is missing: {path.name} does not come with the installed matplotlib")
    return path


@cache
def _metrics(bold: bool) -> _Metrics:
    from fontTools.ttLib import TTFont

    with TTFont(file_of(bold), lazy=True) as font:
        names = font.getBestCmap()
        advances, em = font["hmtx"].metrics, font["head"].unitsPerEm
        return _Metrics({code: advances[name][0] / em for code, name in names.items()})


def _has(character: str, bold: bool) -> bool:
    return ord(character) in _metrics(bold).advance and unicodedata.category(character) not in _UNSEEN


def missing(text: str) -> set[str]:
    """The characters of a text that the face cannot show.

    >>> missing("Krajíc, κύπελλο, ⌀ 82"), missing("茶")
    (set(), {'茶'})
    """
    return {c for c in text if not (_has(c, False) and _has(c, True))}


def shown(text: str) -> str:
    """The text with a visible box for each character the face lacks.

    >>> shown("茶 cup")
    '□ cup'
    """
    lacking = missing(text)
    return "".join(BOX if c in lacking else c for c in text)


def width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Width of one line of text as it is shown, mm, for a font size in mm."""
    advance = _metrics(bold).advance
    return size_mm * sum(advance[ord(c)] for c in shown(text))


def fitted(text: str, width: float, size: float, smallest: float, bold: bool = False) -> tuple[str, float]:
    """A text and font size that keep within a width, mm: made smaller first, cut short with a … after that.

    >>> fitted("rib", 50, 4, 3)
    ('rib', 4)
    """
    full = width_mm(text, size, bold)
    if full <= width:
        return text, size
    if full * smallest / size <= width:
        return text, size * width / full
    while text and width_mm(text + "…", smallest, bold) > width:
        text = text[:-1]
    return text.rstrip() + "…", smallest


def folded(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """A text in lines no wider than a width, mm, parted between words, and within a word only if it is wider.

    >>> folded("inside rib, tombo", 30, 4)
    ['inside rib,', 'tombo']
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_mm(longer, size, bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for character in word:
            if lines[-1] and width_mm(lines[-1] + character, size, bold) > width:
                lines.append("")
            lines[-1] += character
    return lines


@cache
def register() -> None:
    """Make both faces known to the PDF writer, which embeds only the characters used."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    registerFont(TTFont(REGULAR, file_of(False)))
    registerFont(TTFont(BOLD, file_of(True)))
