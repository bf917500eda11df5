"""Blocks of a page: something of a known size that can be drawn anywhere, and how several make one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..sheets.page import Page

Draw = Callable[[Page, float, float], None]
"""Draws on a page from a left and an upper edge, mm."""


@dataclass(frozen=True, eq=False)
class Block:
    """Something to be drawn.

    Attributes:
        width: mm.
        height: mm.
        draw: on a page, from its left and its upper edge.
    """

    width: float
    height: float
    draw: Draw


def beside(blocks: Sequence[Block], gap: float, *, low: bool = False) -> Block:
    """Blocks from left to right, their upper edges in line, or their lower ones."""
    height = max(block.height for block in blocks)

    def draw(page: Page, x: float, top: float) -> None:
        for block in blocks:
            block.draw(page, x, top - (height - block.height if low else 0.0))
            x += block.width + gap

    return Block(sum(block.width for block in blocks) + gap * (len(blocks) - 1), height, draw)


def at_both_ends(first: Block, last: Block, gap: float, width: float) -> Block:
    """Two blocks beside each other, the last one at the right end of a width where there is that much room."""
    return beside([first, last], max(gap, width - first.width - last.width))


def under(blocks: Sequence[Block], gap: float) -> Block:
    """Blocks one under another, their left edges in line."""

    def draw(page: Page, x: float, top: float) -> None:
        for block in blocks:
            block.draw(page, x, top)
            top -= block.height + gap

    return Block(max(b.width for b in blocks), sum(b.height for b in blocks) + gap * (len(blocks) - 1), draw)
