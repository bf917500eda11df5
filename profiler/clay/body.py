"""A clay body: how it shrinks, what it weighs, and the file that says so."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ..design.explained import faults_of
from ..design.toml_text import TomlText, read_toml
from ..faults import Fault, Faults
from ..lengths import shown
from .states import State

WATER_G_PER_CM3 = 1.0
MAX_REGROWTH = 0.02
"""A low-fired body may grow a little in the fire: at most this fraction of its dry length is taken."""

_BODIES = Path(__file__).parent / "bodies"


@dataclass(frozen=True)
class Shrinkage:
    """Linear shrinkage in each state, a fraction of the plastic length (ASTM C326's total shrinkage)."""

    leather_hard: float
    bone_dry: float
    bisque: float
    fired: float

    def at(self, state: State) -> float:
        """The shrinkage in a state, 0 when wet."""
        return 0.0 if state is State.WET else float(getattr(self, state.value))


@dataclass(frozen=True)
class Body:
    """A clay body.

    Attributes:
        name: for people.
        shrinkage: across the axis, and along it where `shrinkage_height` is None.
        plastic_density: as thrown, g/cm³.
        water: fraction of the damp weight.
        loss_on_ignition: fraction of the dry weight.
        shrinkage_height: along the axis, for a body that shrinks differently there.
        spread_points: plus or minus on the fired shrinkage, in points; None where not known.
        source: the file it came from.
        notes: what the file says about its figures.
    """

    name: str
    shrinkage: Shrinkage
    plastic_density: float
    water: float
    loss_on_ignition: float
    shrinkage_height: Shrinkage | None = None
    spread_points: float | None = None
    source: Path | None = None
    notes: str = ""

    def scale(self, from_state: State, to_state: State) -> tuple[float, float]:
        """Factors (k_r, k_z) on radii and heights: (1 - S_to)/(1 - S_from).

        So wet is fired/(1 - S), never fired x (1 + S), which is S² too small.
        """
        height = self.shrinkage_height or self.shrinkage
        k_r = (1 - self.shrinkage.at(to_state)) / (1 - self.shrinkage.at(from_state))
        return k_r, (1 - height.at(to_state)) / (1 - height.at(from_state))

    def mass_g(self, wet_volume_cm3: float, state: State) -> float:
        """Mass in a state of what is so many cm³ of plastic clay, g, glaze not counted.

        Until leather-hard the volume lost is water lost; m_dry = m_wet (1 - w), m_fired = m_dry (1 - LOI).
        """
        return wet_volume_cm3 * self._mass_per_wet_cm3(state)

    def density(self, state: State) -> float:
        """Bulk density in a state, g/cm³."""
        return self._mass_per_wet_cm3(state) / self._volume_left(state)

    def digest_text(self) -> str:
        """All figures in one line, the same for the same figures wherever the file stands."""
        height = astuple(self.shrinkage_height) if self.shrinkage_height else ()
        weights = (self.plastic_density, self.water, self.loss_on_ignition, self.spread_points)
        return repr((self.name, astuple(self.shrinkage), height, weights))

    def _volume_left(self, state: State) -> float:
        k_r, k_z = self.scale(State.WET, state)
        return k_r * k_r * k_z

    def _mass_per_wet_cm3(self, state: State) -> float:
        if state is State.WET:
            return self.plastic_density
        if state is State.LEATHER_HARD:
            return self.plastic_density - WATER_G_PER_CM3 * (1 - self._volume_left(state))
        dry = self.plastic_density * (1 - self.water)
        return dry if state is State.BONE_DRY else dry * (1 - self.loss_on_ignition)


def shipped_bodies() -> tuple[str, ...]:
    """Names of the bodies that come with the program."""
    return tuple(sorted(path.stem for path in _BODIES.glob("*.toml")))


def load_body(name_or_path: str, relative_to: Path) -> Body:
    """A shipped body by its name, or a body file by its path.

    Args:
        name_or_path: as the design file has it.
        relative_to: the folder of the file that names it.

    Raises:
        Fault: no such body, or its file cannot be read.
        Faults: its figures cannot be used.
    """
    if name_or_path in shipped_bodies():
        return _shipped(name_or_path)
    if not name_or_path.endswith(".toml"):
        names = ", ".join(shipped_bodies())
        raise Fault("unknown clay", shown(name_or_path), f"one of {names}, or the path of a body file (.toml)")
    if "\0" in name_or_path:
        raise Fault("not a path", shown(name_or_path), "the path of a body file (.toml)")
    return read_body(relative_to / name_or_path)


def read_body(path: Path) -> Body:
    """A body from its file; raises as `load_body` does."""
    return body_of(read_toml(path))


def body_of(text: TomlText) -> Body:
    """The body in a text already read.

    Raises:
        Faults: its figures cannot be used.
    """
    try:
        file = _BodyFile.model_validate(text.data)
    except ValidationError as error:
        raise faults_of(error, text, _BodyFile) from None
    base, height = file.shrinkage.firing_base, file.shrinkage_height
    body = Body(
        name=file.name,
        shrinkage=file.shrinkage.fractions(base),
        plastic_density=file.density.plastic,
        water=file.weight.water / 100,
        loss_on_ignition=file.weight.loss_on_ignition / 100,
        shrinkage_height=None if height is None else height.fractions(base),
        spread_points=file.shrinkage.plus_minus,
        source=text.path,
        notes=file.notes,
    )
    _check(body, text)
    return body


@lru_cache
def _shipped(name: str) -> Body:
    return read_body(_BODIES / f"{name}.toml")


def _check(body: Body, text: TomlText) -> None:
    """Raise what no clay does: these figures contradict each other."""
    faults = []
    for table, shrinkage in (("shrinkage", body.shrinkage), ("shrinkage_height", body.shrinkage_height)):
        if shrinkage is None:
            continue
        if shrinkage.leather_hard > shrinkage.bone_dry:
            what = "shrinks more by leather-hard than by bone-dry"
            wanted = f"at most {100 * shrinkage.bone_dry:g}"
            faults.append(Fault(what, f"{100 * shrinkage.leather_hard:g}", wanted, f"{table}.leather_hard"))
        for key, total in (("bisque", shrinkage.bisque), ("fired", shrinkage.fired)):
            if 1 - total > (1 - shrinkage.bone_dry) * (1 + MAX_REGROWTH):
                what = "grows too much in the fire"
                wanted = 'the total on the plastic length, or firing_base = "dry" if it is on the dry length'
                faults.append(Fault(what, f"{100 * total:g} in all", wanted, f"{table}.{key}"))
    lost = body.plastic_density - body.mass_g(1.0, State.LEATHER_HARD)
    if lost > body.water * body.plastic_density:
        most = f"at least {100 * lost / body.plastic_density:.1f} for this leather-hard shrinkage"
        what = "less water than the clay loses by leather-hard"
        faults.append(Fault(what, f"{100 * body.water:g}", most, "weight.water"))
    if faults:
        raise Faults([text.fault(fault) for fault in faults])


def _number(low: float, high: float, says: str) -> object:
    return Field(strict=True, allow_inf_nan=False, ge=low, le=high, description=says)


_Percent = Annotated[float, _number(-2, 35, "Linear shrinkage, per cent")]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Height(_Table):
    leather_hard: _Percent
    bone_dry: _Percent
    bisque: _Percent
    fired: _Percent

    def fractions(self, firing_base: str) -> Shrinkage:
        """Fractions of the plastic length; on a dry base 1 - S = (1 - S_dry)(1 - S_fire), they do not add."""
        dry = self.bone_dry / 100
        fires = (self.bisque / 100, self.fired / 100)
        if firing_base == "dry":
            fires = (1 - (1 - dry) * (1 - fires[0]), 1 - (1 - dry) * (1 - fires[1]))
        return Shrinkage(self.leather_hard / 100, dry, *fires)


class _Across(_Height):
    firing_base: Literal["plastic", "dry"] = "plastic"
    plus_minus: Annotated[float, _number(0, 10, "Points either way on the fired shrinkage")] | None = None


class _Density(_Table):
    plastic: Annotated[float, _number(1.2, 3, "g/cm³ as thrown")]


class _Weight(_Table):
    water: Annotated[float, _number(5, 45, "Per cent of the damp weight")]
    loss_on_ignition: Annotated[float, _number(0, 30, "Per cent of the dry weight")]


class _BodyFile(_Table):
    name: Annotated[str, Field(min_length=1, max_length=200)]
    notes: str = ""
    shrinkage: _Across
    shrinkage_height: _Height | None = None
    density: _Density
    weight: _Weight
