"""A set's numbers under the names that other programs read, full precision."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from ..kiln import Load, Shelf
from ..stacking import Nest
from .matching import Match
from .measured_set import MeasuredSet
from .weigh_list import WeighList


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
        "checks": [
            {"piece": title, "id": check.id, "level": str(check.level), "message": check.message}
            for title, check in measured.remarks
        ],
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


def loads_json(loads: Sequence[Load]) -> list[dict[str, Any]]:
    """Where everything stands, firing by firing; x to the right and y to the back of a shelf's middle."""
    return [
        {
            "firing": str(load.firing),
            "name": load.name,
            "left_out": [ware.name for ware in load.left_out],
            "kilnfuls": [[_shelf_json(shelf) for shelf in kilnful] for kilnful in load.kilnfuls],
        }
        for load in loads
    ]


def _shelf_json(shelf: Shelf) -> dict[str, Any]:
    places = [
        {"piece": place.ware.name, "x_mm": place.x_mm, "y_mm": place.y_mm, "pieces": place.pieces}
        for place in shelf.places
    ]
    return {
        "stands_at_mm": shelf.stands_at_mm,
        "posts_mm": list(shelf.posts_mm),
        "posts_at_mm": [list(at) for at in shelf.posts_at],
        "places": places,
    }
