"""Paper sizes and the part of a page a drawing may use."""

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

LEFT_MM, BOTTOM_MM, RIGHT_MM, TOP_MM = 14.0, 25.0, 8.0, 8.0
"""Strips kept free of drawings: the bars and the footer stand in the left and bottom ones."""


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
    raise ValueError(f"no paper is called {name!r}; there are {', '.join(PAPERS_MM)}")


@dataclass(frozen=True)
class Leaf:
    """A page as the layout sees it.

    Attributes:
        width: mm.
        height: mm.
    """

    width: float
    height: float

    @property
    def landscape(self) -> bool:
        """Whether it lies on its long side."""
        return self.width > self.height

    @property
    def window(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) of the part for drawings, mm from the lower left corner."""
        return LEFT_MM, BOTTOM_MM, self.width - RIGHT_MM, self.height - TOP_MM

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of that part, mm."""
        left, bottom, right, top = self.window
        return right - left, top - bottom


def leaves(paper: str, correction: tuple[float, float] | None = None) -> tuple[Leaf, Leaf]:
    """The page upright and lying, in mm as the printer will put them down.

    A printer that puts down 99.2 mm for 100 has less room on a sheet once that is made up for: its leaf is
    narrower than the paper by 99.2/100, so that the correction pushes nothing off the sheet.
    """
    width, height = paper_mm(paper)
    across, up = stretch(correction, landscape=False)
    return Leaf(width / across, height / up), Leaf(height / up, width / across)


def stretch(correction: tuple[float, float] | None, *, landscape: bool) -> tuple[float, float]:
    """What to multiply x and y by on a page, for bars of 100 mm that measured so much on an upright page.

    A lying page goes through the printer turned, so that its x runs along the feed, which was y.

    Raises:
        ValueError: a bar further off than 5 mm: that is a wrong print setting, not a printer.

    >>> stretch((100.0, 125 * 0.8), landscape=False)
    (1.0, 1.0)
    """
    if correction is None:
        return 1.0, 1.0
    for measured in correction:
        if not 95 <= measured <= 105:
            raise ValueError(
                f"a 100 mm bar that measured {measured:g} mm points to a wrong print setting (95 to 105)"
            )
    across, up = 100 / correction[0], 100 / correction[1]
    return (up, across) if landscape else (across, up)
