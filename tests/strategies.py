"""Random pots of sane sizes, one strategy a form, for hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

from profiler.forms import FORMS


def _tenths(low: float, high: float) -> st.SearchStrategy[float]:
    """Millimetres to a tenth, as callipers read."""
    return st.integers(round(low * 10), round(high * 10)).map(lambda tenths: tenths / 10)


def _table(**sizes: st.SearchStrategy[float]) -> st.SearchStrategy[str]:
    return st.fixed_dictionaries(sizes).map(lambda made: "".join(f"{key} = {size}\n" for key, size in made.items()))


_WALLS = _table(rim=_tenths(3, 5.5), foot=_tenths(4, 7)).map(lambda made: f"[wall]\n{made}")

_SIZES: dict[str, st.SearchStrategy[str]] = {
    "bowl": _table(
        rim_diameter=_tenths(110, 320), height=_tenths(50, 120), fullness=st.sampled_from((0.2, 0.4, 0.6))
    ),
    "plate": _table(rim_diameter=_tenths(180, 300), height=_tenths(24, 32), rim_width=_tenths(18, 32)),
    "cylinder": _table(
        rim_diameter=_tenths(70, 110), height=_tenths(70, 160), base_diameter=_tenths(66, 112), belly=_tenths(-2, 6)
    ),
    "jar": _table(rim_diameter=_tenths(80, 100), belly_diameter=_tenths(102, 140), height=_tenths(90, 180)),
    "closed": _table(
        belly_diameter=_tenths(70, 150), height=_tenths(70, 160), shoulder=st.sampled_from((0.4, 0.55, 0.8))
    ),
    "stand": _table(rim_diameter=_tenths(200, 300), height=_tenths(90, 160)),
    "points": st.tuples(_tenths(30, 50), _tenths(38, 60), _tenths(34, 58), _tenths(60, 140)).map(
        lambda p: (
            f"outside = [[{p[0]}, 0], [{p[1]}, {p[3] / 3:.2f}], [{p[2]}, {p[3]}]]\n"
            f"[thrown]\nbase_diameter = {2 * p[0] + 10:.2f}\nblend_height = {p[3] / 4:.2f}\n"
        )
    ),
}


def designs(kind: str) -> st.SearchStrategy[str]:
    """Texts of design files of one form."""
    return st.tuples(_SIZES[kind], _WALLS).map(lambda made: f'[form]\nkind = "{kind}"\n{made[0]}{made[1]}')


def any_design() -> st.SearchStrategy[str]:
    """Texts of design files of every registered form."""
    return st.sampled_from(sorted(FORMS)).flatmap(designs)
