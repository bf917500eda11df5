"""A whole set in the kiln: on few shelves, and in as many firings as it takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from .filling import Column, Filling
from .one_kind import fits
from .surface import TOUCH_MM, Surface, surface_of
from .table import KilnTable
from .ware import Firing, Ware


@dataclass(frozen=True)
class Place:
    """Where a piece stands, or several on each other.

    Attributes:
        ware: its kind.
        x_mm: to the right of the shelf's middle.
        y_mm: to the back of it.
        pieces: how many are on each other.
    """

    ware: Ware
    x_mm: float
    y_mm: float
    pieces: int

    @property
    def height_mm(self) -> float:
        """Of all of them."""
        return self.ware.stack_mm(self.pieces)


@dataclass(frozen=True)
class Shelf:
    """A shelf as it is loaded.

    Attributes:
        places: what stands on it.
        stands_at_mm: its upper face over that of the lowest shelf.
        posts_mm: the stock post, or the two, that stand on it under the next shelf; none on the top one.
        posts_at: middles of those posts, mm from the shelf's middle.
    """

    places: tuple[Place, ...]
    stands_at_mm: float
    posts_mm: tuple[float, ...]
    posts_at: tuple[tuple[float, float], ...]

    @property
    def tallest_mm(self) -> float:
        """Height of the tallest on it."""
        return max(place.height_mm for place in self.places)


@dataclass(frozen=True)
class Load:
    """A set's way through one firing.

    Attributes:
        firing: bisque or glaze.
        kiln: what it is fired in.
        kilnfuls: the shelves of each time the kiln is filled, from the lowest up.
        wares: the kinds of the set, in its order.
        left_out: those that do not go into this kiln at all.
        name: what she calls the firing; empty where all of the set goes through it as one.
    """

    firing: Firing
    kiln: KilnTable
    kilnfuls: tuple[tuple[Shelf, ...], ...]
    wares: tuple[Ware, ...]
    left_out: tuple[Ware, ...]
    name: str = ""


@dataclass(frozen=True)
class _Level:
    """A shelf on its way: what is on it, its upper face over the lowest, mm, and the post on it."""

    filling: Filling
    at: float
    post: tuple[float, ...]

    def shelf(self) -> Shelf:
        """With what room is left shared out."""
        self.filling.spread()
        places = tuple(
            Place(column.ware, float(x), float(y), column.pieces)
            for column, (x, y) in zip(self.filling.columns, self.filling.at, strict=True)
        )
        posts = tuple((float(x), float(y)) for x, y in self.filling.surface.posts) if self.post else ()
        return Shelf(places, self.at, self.post, posts)


_Kilnfuls = list[list[_Level]]


def loaded(wares: Sequence[Ware], kiln: KilnTable, firing: Firing, name: str = "") -> Load:
    """Put a set into a kiln, every piece once.

    Shelves are filled from the top one down, once with the tallest pieces first, once with the widest; what takes
    fewer kiln loads is kept, then fewer shelves, then less height. The top shelf carries no posts, so that it has the
    most room, and what is wider than the posts leave goes there. A shelf's tallest piece decides the post, or the
    two, from stock under the next shelf. In a bisque firing pieces stand on each other, each kind on its own; that no
    stack is higher than the first beside it is tried as well.

    Args:
        wares: the kinds, in the state they go into that firing in.
        kiln: the kiln.
        firing: glazed ware stands apart; bisque ware may touch.
        name: what she calls the firing.
    """
    going = [ware for ware in wares if fits(ware, kiln, firing)]
    ways = [
        _kilnfuls(sorted(going, key=key), kiln, firing, high=high)
        for key in (_by_height, _by_reach)
        for high in ((False, True) if firing is Firing.BISQUE else (False,))
    ]
    best = min(ways, key=lambda way: (len(way), sum(map(len, way)), sum(levels[-1].at for levels in way)))
    kilnfuls = tuple(tuple(level.shelf() for level in levels) for levels in best)
    return Load(firing, kiln, kilnfuls, tuple(wares), tuple(ware for ware in wares if ware not in going), name)


def _by_height(ware: Ware) -> float:
    return -ware.height_mm


def _by_reach(ware: Ware) -> float:
    return -ware.reach_radius_mm


def _kilnfuls(wares: Sequence[Ware], kiln: KilnTable, firing: Firing, *, high: bool) -> _Kilnfuls:
    left: Counter[Ware] = Counter()
    for ware in wares:
        left[ware] += ware.count
    kilnfuls = []
    while any(left.values()):
        kilnfuls.append(_kilnful(left, kiln, firing, high=high))
    return kilnfuls


def _kilnful(left: Counter[Ware], kiln: KilnTable, firing: Firing, *, high: bool) -> list[_Level]:
    """Fill the kiln once, from the top shelf down; what goes in is taken off `left`."""
    bare, posted = (surface_of(kiln, firing, posts=posts) for posts in (False, True))
    only_on_top = [ware for ware in left if left[ware] and not Filling(posted).takes(Column(ware, 1))]
    order = [*only_on_top, *(ware for ware in left if ware not in only_on_top)]
    top = _filled(bare, order, left, kiln.clear_height, kiln, firing, high=high)
    room = kiln.clear_height - top.tallest_mm
    below: list[tuple[Filling, tuple[float, ...]]] = []
    while kiln.posts:
        posts = [post for post in _posts(kiln) if sum(post) + kiln.shelf_thickness <= room + TOUCH_MM]
        under = max((sum(post) for post in posts), default=0.0) - kiln.headroom
        filling = _filled(posted, list(left), left, under, kiln, firing, high=high)
        if not filling.columns:
            break
        post = next(post for post in posts if sum(post) >= filling.tallest_mm + kiln.headroom - TOUCH_MM)
        below.append((filling, post))
        room -= sum(post) + kiln.shelf_thickness
    levels, at = [], 0.0
    for filling, post in [*reversed(below), (top, ())]:
        levels.append(_Level(filling, at, post))
        at += sum(post) + kiln.shelf_thickness
    return levels


def _posts(kiln: KilnTable) -> list[tuple[float, ...]]:
    """What stock makes, lowest first: one post, else two on each other."""
    stock = sorted(set(kiln.post_heights))
    made: list[tuple[float, ...]] = [(post,) for post in stock]
    made += [(high, low) for low, high in combinations_with_replacement(stock, 2)]
    return sorted(made, key=lambda post: (round(sum(post), 6), len(post), -post[0]))


def _filled(
    surface: Surface,
    order: Sequence[Ware],
    left: Counter[Ware],
    under_mm: float,
    kiln: KilnTable,
    firing: Firing,
    *,
    high: bool,
) -> Filling:
    """A shelf with what goes on it under a height, the first of the order first; it is taken off `left`."""
    filling = Filling(surface)
    for ware in order:
        if ware.height_mm > under_mm + TOUCH_MM:
            continue
        highest = ware.stacks_to(kiln, under_mm) if firing is Firing.BISQUE else 1
        while left[ware]:
            column = Column(ware, min(highest, left[ware]))
            if not filling.takes(column):
                break
            left[ware] -= column.pieces
        if filling.columns and not high:
            under_mm = filling.tallest_mm
    return filling
