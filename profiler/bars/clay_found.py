"""What test bars say of their clay: shrinkage in every state, water, loss in the fire, absorption, density."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..clay.states import State
from ..faults import Fault
from .bar import Bar
from .bar_file import BarFile
from .spread import Spread, spread_of

STANDARD_BARS = 10
"""The least number ASTM C326 asks for."""

READING_MM = 0.1
"""What a length may be off by for how callipers are read (memory)."""

READING_G = 0.1
"""What a weight may be off by for how scales are read (memory)."""

MINERAL_G_PER_CM3, HEAVY_MINERAL_G_PER_CM3 = 2.6, 2.75
"""Of clay's minerals: 2.55 to 2.65 (memory); one that is rich in iron may be a little heavier (memory)."""

_LENGTHS = {
    State.LEATHER_HARD: "leather_hard_mm",
    State.BONE_DRY: "bone_dry_mm",
    State.BISQUE: "bisque_mm",
    State.FIRED: "fired_mm",
}


@dataclass(frozen=True)
class ClayFound:
    """What the bars of a file say; None for what they do not.

    Attributes:
        file: the bars.
        shrinkage: by state, per cent of the plastic length (ASTM C326).
        on_dry: bisque and glaze firing, per cent of the dry length.
        carried: bars without a plastic length, brought to it by the mean drying shrinkage of the others.
        water: per cent of the damp weight.
        loss: on ignition, per cent of the dry weight.
        absorption: (M - D)/D, per cent of the fired weight (ASTM C373).
        density: bulk, fired, D/(M - S), g/cm³ (ASTM C373).
        left_out: names of bars that were left out because she said so.
    """

    file: BarFile
    shrinkage: dict[State, Spread]
    on_dry: dict[State, Spread]
    carried: tuple[str, ...]
    water: Spread | None
    loss: Spread | None
    absorption: Spread | None
    density: Spread | None
    left_out: tuple[str, ...] = ()

    @property
    def fired_mm_of_100(self) -> float | None:
        """Plus or minus on a fired size of 100 mm, mm: ΔS/(1 - S) of it; None from one bar."""
        fired = self.shrinkage.get(State.FIRED)
        points = None if fired is None else fired.plus_minus
        return None if fired is None or points is None else 100 * points / (100 - fired.mean)

    @property
    def plastic_density(self) -> float | None:
        """As thrown, g/cm³, from the fired bulk density back: B (1 - S)³ / ((1 - w)(1 - LOI)); None without it."""
        fired = self.shrinkage.get(State.FIRED)
        if self.density is None or self.water is None or self.loss is None or fired is None:
            return None
        kept = (1 - self.water.mean / 100) * (1 - self.loss.mean / 100)
        return self.density.mean * (1 - fired.mean / 100) ** 3 / kept


def saturated_density(water_percent: float, mineral: float = MINERAL_G_PER_CM3) -> float:
    """Of clay whose pores are full of water, g/cm³: 1/(w + (1 - w)/d), w of the damp weight.

    >>> round(saturated_density(20), 3)
    1.97
    """
    water = water_percent / 100
    return 1 / (water + (1 - water) / mineral)


def clay_found(file: BarFile, leave_out: Sequence[str] = ()) -> ClayFound:
    """What bars say of their clay.

    Args:
        file: the bars.
        leave_out: names of bars that do not count.

    Raises:
        Fault: no such bar, or none is left.
    """
    names = {bar.name for bar in file.bars}
    for name in leave_out:
        if name not in names:
            raise Fault("no such bar", repr(name), ", ".join(sorted(names)), "--leave-out")
    bars = tuple(bar for bar in file.bars if bar.name not in leave_out)
    if not bars:
        raise Fault("no bar is left", f"{len(names)} left out", "one bar or more", "--leave-out")
    shrinkage, carried = _shrinkage(bars)
    return ClayFound(
        file=replace(file, bars=bars),
        shrinkage=shrinkage,
        on_dry=_on_dry(bars),
        carried=carried,
        water=_ratio(bars, lambda bar: _lost(bar.wet_g, bar.dry_g)),
        loss=_ratio(bars, lambda bar: _lost(bar.dry_g, bar.bisque_g if bar.fired_g is None else bar.fired_g)),
        absorption=_ratio(bars, _absorption),
        density=_ratio(bars, _bulk_density),
        left_out=tuple(leave_out),
    )


def _shrinkage(bars: Sequence[Bar]) -> tuple[dict[State, Spread], tuple[str, ...]]:
    """Shrinkage on the plastic length in each state.

    A bar with no plastic length, only a dry one, is brought to it by the mean drying shrinkage of the others,
    1 - S = (1 - S_dry)(1 - S_fire); what drying varies by is then added to what such bars scatter.
    """
    found: dict[State, Spread] = {}
    carried: set[str] = set()
    reading = _reading(bars)
    for state, column in _LENGTHS.items():
        values = {bar.name: lost for bar in bars if (lost := _lost(bar.plastic_mm, getattr(bar, column))) is not None}
        hidden = 0.0
        dry = found.get(State.BONE_DRY)
        if state in (State.BISQUE, State.FIRED) and dry is not None:
            fire = {
                bar.name: lost
                for bar in bars
                if bar.plastic_mm is None and (lost := _lost(bar.bone_dry_mm, getattr(bar, column))) is not None
            }
            values |= {name: 100 - (100 - dry.mean) * (1 - lost / 100) for name, lost in fire.items()}
            carried |= fire.keys()
            hidden = sum(((1 - lost / 100) * (dry.deviation or 0.0)) ** 2 for lost in fire.values())
        spread = spread_of(values, reading, hidden / max(len(values), 1))
        if spread is not None:
            found[state] = spread
    return found, tuple(bar.name for bar in bars if bar.name in carried)


def _on_dry(bars: Sequence[Bar]) -> dict[State, Spread]:
    found = {}
    for state in (State.BISQUE, State.FIRED):
        column = _LENGTHS[state]
        values = {
            bar.name: lost for bar in bars if (lost := _lost(bar.bone_dry_mm, getattr(bar, column))) is not None
        }
        spread = spread_of(values, _reading(bars))
        if spread is not None:
            found[state] = spread
    return found


def _reading(bars: Sequence[Bar]) -> float:
    """What reading a length may put a shrinkage off by, points."""
    lengths = [length for bar in bars if (length := bar.plastic_mm or bar.bone_dry_mm) is not None]
    return 100 * READING_MM / min(lengths) if lengths else 0.0


def _ratio(bars: Sequence[Bar], of: Callable[[Bar], float | None]) -> Spread | None:
    """A percentage, or a density, of weights."""
    values = {bar.name: value for bar in bars if (value := of(bar)) is not None}
    weights = [weight for bar in bars if (weight := bar.fired_g or bar.dry_g or bar.wet_g) is not None]
    return spread_of(values, 100 * READING_G / min(weights)) if values else None


def _lost(before: float | None, after: float | None) -> float | None:
    """Per cent of what was before."""
    return None if before is None or after is None else 100 * (before - after) / before


def _absorption(bar: Bar) -> float | None:
    if bar.fired_g is None or bar.soaked_g is None:
        return None
    return 100 * (bar.soaked_g - bar.fired_g) / bar.fired_g


def _bulk_density(bar: Bar) -> float | None:
    if bar.fired_g is None or bar.soaked_g is None or bar.suspended_g is None:
        return None
    return bar.fired_g / (bar.soaked_g - bar.suspended_g)
