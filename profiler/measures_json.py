"""A piece's numbers under the names that other programs read, full precision."""

from __future__ import annotations

from typing import Any

from .clay.states import State
from .food_class import CAUTION, FoodClasses
from .lidded import lid_json
from .measures import FinishedPart, Measure, Measures, PartMeasures, ThrownMeasure
from .thickness import Place
from .trimming import Trimming


def as_json(measures: Measures) -> dict[str, Any]:
    """The numbers under the names of the contract, full precision."""
    design = measures.piece.design
    made: dict[str, Any] = {
        "title": design.title,
        "form": design.form.kind,
        "clay": measures.piece.body.name,
        "sized": str(design.head.sized),
        "digest": design.digest,
        **_figures(measures.states, measures.thrown, measures.trimming, measures.ball_g, measures.weigh_out_g),
    }
    if len(measures.parts) == 1:
        made |= _more(measures.main)
    else:
        made["parts"] = {
            name: {"states": _states(part.states)} | _bench(measures.balls.get(name)) | _more(part)
            for name, part in measures.parts.items()
        }
    if measures.lid is not None:
        made["lid"] = lid_json(measures.lid)
    if measures.spoon is not None:
        made["spoon"] = measures.spoon.json
    if measures.food is not None:
        made["food_class"] = _food_json(measures.food)
    if design.head.extras:
        made["extras"] = [extra.model_dump() for extra in design.head.extras]
    return made


def _food_json(food: FoodClasses) -> dict[str, Any]:
    both = {"iso_6486_overflow": food.overflow, "upper_rim": food.rim}
    return {
        **{name: {"class": of.words, "depth_mm": of.depth_mm} for name, of in both.items()},
        "differ": food.differ,
        "caution": CAUTION,
    }


def _bench(ball: PartMeasures | None) -> dict[str, Any]:
    """What a part has from a ball of its own; nothing for one that is cut from a closed form."""
    if ball is None:
        return {}
    figures = _figures(ball.states, ball.thrown, ball.trimming, ball.ball_g, ball.weigh_out_g)
    return {name: value for name, value in figures.items() if name != "states"}


def _flat(numbers: Measure | ThrownMeasure | Trimming | Place) -> dict[str, Any]:
    """Fields by name of what holds nothing but numbers."""
    return dict(vars(numbers))


def _states(states: dict[State, Measure]) -> dict[str, Any]:
    return {str(state): _flat(m) for state, m in states.items()}


def _figures(
    states: dict[State, Measure], thrown: ThrownMeasure, cut: Trimming, ball: float, weighed: float
) -> dict[str, Any]:
    return {
        "states": _states(states),
        "thrown": _flat(thrown),
        "trimming": _flat(cut),
        "ball_g": ball,
        "weigh_out_g": weighed,
    }


def _more(part: FinishedPart) -> dict[str, Any]:
    return {
        "fill_ml": part.fill_ml,
        "fill_line_mm": part.fill_line_mm,
        "surface_cm2": part.surface_cm2,
        "centre_height_mm": part.centre_height_mm,
        "tips_at_deg": part.tips_at_deg,
        "thinnest": _flat(part.thinnest),
        "thickest": _flat(part.thickest),
    }
