"""Drawings on as few pages as can be found: nested by their true shapes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from math import ceil

import numpy as np

from .filling import Filling, Item, Sheet, grid, spare
from .paper import Leaf
from .shapes import Shape

_SEARCHED = 5_000_000  # cells looked at, level or turning, until what was found is good enough: a tenth of a second
_FULLEST = 0.85  # of a page's cells; ribs and gauges nest to 0.7 at best
_SHUFFLES = 8


def packed(items: Sequence[Item], pages: tuple[Leaf, Leaf]) -> list[Sheet]:
    """Pages for items each of which fits a page whole, in their order; the same list always comes out the same.

    Drawings are turned only where that saves a page. Of equal outcomes the one wins that was tried first: in the
    list's order, on upright pages.
    """
    best: list[Filling] = []
    jumbled = False
    for turning in (False, True):
        ways = [item.ways(pages, turning=turning) for item in items]
        cells = sum(min(shape.cells for shape in shapes) for shapes in ways)
        least = ceil(cells / (_FULLEST * max(rows * columns for rows, columns in map(grid, pages))))
        searched = 0
        for order, snug, leaves in _attempts(items, pages):
            if best and ((len(best) <= least and not jumbled) or searched > _SEARCHED):
                break
            # parts in their order are worth looking on for, but no page
            most = len(items) if not best else len(best) if jumbled else len(best) - 1
            found, complete = _filled(items, order, ways, snug, leaves, most)
            searched += sum(filling.searched for filling in found)
            found.sort(key=lambda filling: min(items.index(item) for item in filling.items))
            if complete and (len(found) < len(best) or not best or not _jumbled(found, items)):
                best, jumbled = found, _jumbled(found, items)
    return [filling.sheet() for filling in best]


def _jumbled(pages: Sequence[Filling], items: Sequence[Item]) -> bool:
    """Whether a part of a drawing comes on an earlier page than the one before it."""
    page_of = {items.index(item): number for number, page in enumerate(pages) for item in page.items}
    return any(
        one.index == other.index and page_of[n] > page_of[n + 1] for n, (one, other) in enumerate(pairwise(items))
    )


def _attempts(items: Sequence[Item], pages: tuple[Leaf, Leaf]) -> Iterator[tuple[list[int], bool, tuple[Leaf, ...]]]:
    """Orders of the items, whether they are set snug, and leaves for even and odd pages; the most wanted first."""
    upright, lying = pages
    listed = list(range(len(items)))
    sizes = [(item.level.cells, item.level.height, item.level.width) for item in items]
    by_size = [listed, *(sorted(listed, key=lambda i: -sizes[i][by]) for by in range(3))]
    chance = np.random.default_rng(0)
    by_chance = [chance.permutation(listed).tolist() for _ in range(_SHUFFLES)]
    by_size, by_chance = _once(by_size), [order for order in _once(by_chance) if order not in by_size]
    leaves = ((upright, upright, lying), (lying, lying, upright), (upright, lying), (lying, upright))
    for orders in (by_size, by_chance):
        for turns, snug, order in product(leaves, (False, True), orders):
            yield order, snug, turns


def _once(orders: list[list[int]]) -> list[list[int]]:
    return [list(order) for order in dict.fromkeys(map(tuple, orders))]


def _filled(
    items: Sequence[Item],
    order: Sequence[int],
    ways: Sequence[tuple[Shape, ...]],
    snug: bool,
    leaves: tuple[Leaf, ...],
    most: int,
) -> tuple[list[Filling], bool]:
    """Each item on the first page that has room, else on a new one; whether so many pages were enough."""
    pages: list[Filling] = []
    for number in order:
        item, shapes = items[number], ways[number]
        if any(page.takes(item, shape, snug=snug) for page in pages for shape in shapes):
            continue
        if len(pages) == most:
            return pages, False
        wanted = leaves[len(pages) % 2], *leaves
        pages.append(Filling(next(leaf for leaf in wanted if any(spare(shape, leaf) for shape in shapes))))
        next(shape for shape in shapes if pages[-1].takes(item, shape, snug=snug))
    return pages, True
