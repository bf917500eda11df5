"""Which drawing goes where: whole ones share pages, too large a one is cut. Numbers only, no file format."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..templates.drawing import Drawing
from .extent import box_of
from .filling import Item, Place, Sheet
from .packing import packed
from .paper import Correction, Leaf, own_leaf
from .tiles import tiled


def laid_out(drawings: Sequence[Drawing], pages: tuple[Leaf, Leaf]) -> list[Sheet]:
    """Sheets for drawings, in their order, as few as can be found; upright pages and level drawings preferred.

    Args:
        drawings: mm.
        pages: the leaf upright and lying.
    """
    whole = [Item(index, drawing) for index, drawing in enumerate(drawings)]
    clean, handy = ([*_parted(whole, pages, clean=clean)] for clean in (True, False))
    sheets = packed(clean, pages)
    if [item.tile for item in clean] != [item.tile for item in handy]:
        # Seams that spoil less print are not worth a page more.
        sheets = min(sheets, packed(handy, pages), key=len)
    return sheets


def _parted(whole: Sequence[Item], pages: tuple[Leaf, Leaf], *, clean: bool) -> Iterator[Item]:
    """Each drawing whole, or its parts if it fits no page."""
    for item in whole:
        if item.ways(pages, turning=False):
            yield item
        else:
            yield from (replace(item, tile=tile) for tile in tiled(item.drawing, pages, clean=clean))


def on_own_pages(drawings: Sequence[Drawing], correction: Correction | None = None) -> list[Sheet]:
    """A page for each drawing, as large as it with the margins and what proves its size."""
    found = []
    for index, drawing in enumerate(drawings):
        left, bottom, right, top = box_of(drawing)
        wide, high = right - left, top - bottom
        leaf = own_leaf(wide, high, correction)
        low, room = leaf.window, leaf.room
        found.append(Sheet(leaf, (Place(index, low[0] + (room[0] - wide) / 2, low[1] + (room[1] - high) / 2),)))
    return found
