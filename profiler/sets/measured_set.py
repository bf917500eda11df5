"""A set with everything that is computed of it, and the same under the names that other programs read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from ..design.model import Design
from ..job import Job
from ..settings import Settings
from ..stacking import Nest
from .counted import Counted
from .firings import OnShelf, on_shelf
from .matching import Match, matched
from .set_file import PotSet, to_throw
from .stacks import InOther, Stack, in_others, stack_of
from .weigh_list import WeighList, weigh_list


@dataclass(frozen=True, eq=False)
class MeasuredSet:
    """A set's numbers.

    Attributes:
        pots: the set.
        pieces: one for each `[[piece]]`.
        clay: what is weighed out.
        matches: how the pieces compare.
        stacks: of each piece, in the same order.
        in_others: pieces that stand in another.
        on_shelves: how many of each go on a shelf; empty without a kiln.
    """

    pots: PotSet
    pieces: tuple[Counted, ...]
    clay: WeighList
    matches: tuple[Match, ...]
    stacks: tuple[Stack, ...]
    in_others: tuple[InOther, ...]
    on_shelves: tuple[OnShelf, ...]

    @property
    def stands(self) -> bool:
        """Whether an error stands against a piece of it."""
        return any(piece.job.stands for piece in self.pieces)


def measured_set(pots: PotSet, jobs: Mapping[Design, Job], settings: Settings) -> MeasuredSet:
    """Measure a set whose pieces are measured.

    Args:
        pots: the set.
        jobs: the piece of each of its designs.
        settings: of her workshop.
    """
    lines = zip(pots.file.head.piece, pots.designs, strict=True)
    pieces = tuple(
        Counted(jobs[design], line.count, to_throw(line.count, pots.spares_percent(number)))
        for number, (line, design) in enumerate(lines)
    )
    return MeasuredSet(
        pots,
        pieces,
        weigh_list(pieces, settings.bag_kg),
        matched([piece.job for piece in pieces]),
        tuple(stack_of(piece) for piece in pieces),
        in_others(pieces),
        () if pots.kiln is None else tuple(on_shelf(piece, pots.kiln) for piece in pieces),
    )


def set_json(measured: MeasuredSet, figures: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What `measure --json` prints of a set.

    Args:
        measured: its numbers.
        figures: of each piece, as `measure` prints them of a design.
    """
    pieces = []
    lines = zip(measured.pieces, measured.stacks, figures, strict=True)
    for number, (piece, stack, own) in enumerate(lines):
        extras_g = sum(extra.weight_g for extra in piece.job.piece.design.head.extras)
        more = {
            "count": piece.count,
            "spares_percent": measured.pots.spares_percent(number),
            "to_throw": piece.to_throw,
            "clay_g": piece.to_throw * (piece.job.measures.weigh_out_g + extras_g),
            "stack": {**_nest_json(stack.nest), "height_mm": stack.height_mm},
        }
        if measured.on_shelves:
            more["kiln"] = asdict(measured.on_shelves[number])
        pieces.append(own | more)
    return {
        "title": measured.pots.title,
        "digest": measured.pots.digest,
        "pieces": pieces,
        "totals": {
            "count": sum(piece.count for piece in measured.pieces),
            "to_throw": sum(piece.to_throw for piece in measured.pieces),
            **_clay_json(measured.clay),
            "by_clay": [{"clay": one.lines[0].clay.name, **_clay_json(one)} for one in measured.clay.by_clay],
        },
        "in_others": [
            {"lower": one.lower, "upper": one.upper, **_nest_json(one.nest), "height_mm": one.height_mm}
            for one in measured.in_others
        ],
        "matching": [_match_json(match) for match in measured.matches],
    }


def _clay_json(clay: WeighList) -> dict[str, Any]:
    return {
        "clay_g": clay.clay_g,
        "balls": clay.balls,
        "stuck_on_g": clay.stuck_on_g,
        "reclaim_g": clay.reclaim_g,
        "bag_kg": clay.bag_kg,
        "bags": clay.bags,
    }


def _nest_json(nest: Nest) -> dict[str, Any]:
    return {
        "pitch_mm": nest.pitch_mm,
        "touches": str(nest.touches),
        "touches_r_mm": nest.r_mm,
        "touches_z_mm": nest.z_mm,
    }


def _match_json(match: Match) -> dict[str, Any]:
    sizes = [
        {"least_mm": group.least_mm, "most_mm": group.most_mm, "pieces": list(group.titles)} for group in match.groups
    ]
    return {
        "id": match.id,
        "sign": str(match.sign),
        "spread_mm": match.spread_mm,
        "sizes": sizes,
        "message": match.message,
    }
