"""Paper sizes, the part of a page a drawing may use, and what makes up for a printer."""

from __future__ import annotations

from dataclasses import dataclass

from ..lengths import MM_PER_INCH

PAPERS_MM = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
    "Tabloid": (11 * MM_PER_INCH, 17 * MM_PER_INCH),
}
"""Width and height upright, mm: ISO 216 and ANSI/ASME Y14.1."""

OWN = "own"
"""Each template on a page of its own size: for a plotter or a print shop."""

PAPER_NAMES = (*PAPERS_MM, OWN)
"""All that a sheet can be asked for on."""

LEAST_BAR_MM, MOST_BAR_MM = 95.0, 105.0
"""A printed 100 mm bar further off than this points to a wrong setting of the print, not to a printer."""

LEFT_MM, BOTTOM_MM, RIGHT_MM, TOP_MM = 14.0, 25.0, 8.0, 8.0
"""Strips kept free of drawings: the bars and the footer stand in the left and bottom ones."""

_NAMED_MM, _NAME_MM = 190.0, 12.5  # a narrower page has the sheet's name over the bars, so much higher
_LEAST_MM = (140.0, 137.0)  # room for the bars of 100 mm and 4 in with their words


def paper_mm(name: str) -> tuple[float, float]:
    """Width and height of a paper by its name in any case, mm upright.

    Raises:
        ValueError: no such paper; names those there are.

    >>> paper_mm("a4")
    (210.0, 297.0)
    """
    for known, size in PAPERS_MM.items():
        if known.lower() == name.strip().lower():
            return size
    raise ValueError(f"no paper is called {name!r}; there are {', '.join(PAPER_NAMES)}")


@dataclass(frozen=True)
class Correction:
    """What a printer makes of 100 mm.

    Attributes:
        printer: its name.
        across: what the bar across an upright page measured, mm.
        up: what the bar up the page measured, mm.

    Raises:
        ValueError: a bar further off than 5 mm: that is a wrong print setting, not a printer.
    """

    printer: str
    across: float
    up: float

    def __post_init__(self) -> None:
        for measured in (self.across, self.up):
            if not LEAST_BAR_MM <= measured <= MOST_BAR_MM:
                raise ValueError(
                    f"a 100 mm bar that measured {measured:g} mm points to a wrong print setting "
                    f"({LEAST_BAR_MM:g} to {MOST_BAR_MM:g})"
                )

    @property
    def words(self) -> str:
        """What stands on every page."""
        return f"corrected for the printer “{self._name}” ({self.across:.6g} across, {self.up:.6g} up)"

    @property
    def keywords(self) -> str:
        """The same for a reader of the file.

        >>> Correction("Kitchen inkjet", 99.2, 100.3).keywords
        'corrected across 99.2 up 100.3 for Kitchen inkjet'
        """
        return f"corrected across {self.across:.6g} up {self.up:.6g} for {self._name}"

    @property
    def _name(self) -> str:
        return " ".join(self.printer.split())  # on one line

    def stretch(self, *, landscape: bool) -> tuple[float, float]:
        """What to multiply x and y by on a page.

        A lying page goes through the printer turned, so that its x runs along the feed, which was y.
        """
        across, up = 100 / self.across, 100 / self.up
        return (up, across) if landscape else (across, up)


def stretch(correction: Correction | None, *, landscape: bool) -> tuple[float, float]:
    """What to multiply x and y by on a page; nothing without a correction.

    >>> stretch(None, landscape=False)
    (1.0, 1.0)
    """
    return (1.0, 1.0) if correction is None else correction.stretch(landscape=landscape)


@dataclass(frozen=True)
class Leaf:
    """A page as the layout sees it.

    Attributes:
        width: mm.
        height: mm.
        foot: height of the strip at the bottom that is kept free of drawings, mm.
    """

    width: float
    height: float
    foot: float = BOTTOM_MM

    @property
    def landscape(self) -> bool:
        """Whether it lies on its long side."""
        return self.width > self.height

    @property
    def window(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) of the part for drawings, mm from the lower left corner."""
        return LEFT_MM, self.foot, self.width - RIGHT_MM, self.height - TOP_MM

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of that part, mm."""
        left, bottom, right, top = self.window
        return right - left, top - bottom


def leaves(paper: str, correction: Correction | None = None) -> tuple[Leaf, Leaf]:
    """The page upright and lying, in mm as the printer will put them down.

    A printer that puts down 99.2 mm for 100 has less room on a sheet once that is made up for: its leaf is
    narrower than the paper by 99.2/100, so that the correction pushes nothing off the sheet.
    """
    width, height = paper_mm(paper)
    across, up = stretch(correction, landscape=False)
    return Leaf(width / across, height / up), Leaf(height / up, width / across)


def own_leaf(width: float, height: float, correction: Correction | None = None) -> Leaf:
    """A page round a drawing of a size, mm: with its margins, and never too small for the bars."""
    across = max(width + LEFT_MM + RIGHT_MM, _LEAST_MM[0])
    foot = BOTTOM_MM if across >= _NAMED_MM else BOTTOM_MM + _NAME_MM
    leaf = Leaf(across, max(height + foot + TOP_MM, _LEAST_MM[1]), foot)
    x, y = stretch(correction, landscape=leaf.landscape)
    if leaf.landscape == (leaf.width * x > leaf.height * y):
        return leaf
    # So nearly square that making up for the printer would lay it down or stand it up: it stands, by a millimetre.
    x, y = stretch(correction, landscape=False)
    return Leaf(across, across * max(1.0, x / y) + 1.0, foot)
