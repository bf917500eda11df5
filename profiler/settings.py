"""What a potter's own workshop changes: units, paper, her printer, scales, cutters and bat."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .design.explained import faults_of
from .design.toml_text import read_toml
from .lengths import Length, LengthOrZero, Units
from .sheets.paper import LEAST_BAR_MM, MOST_BAR_MM

THICKNESS_MM, BEVEL_DEGREES = (1.0, 30.0), (20.0, 90.0)
"""Least and most of a rib as a solid; a bevel is counted from the rib's face, so that 90 leaves the edge square."""


def _number(low: float, high: float) -> object:
    return Field(strict=True, allow_inf_nan=False, ge=low, le=high)


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Printer(_Table):
    """What the two printed 100 mm bars really measure, mm."""

    across: Annotated[float, _number(LEAST_BAR_MM, MOST_BAR_MM)] = 100.0
    up: Annotated[float, _number(LEAST_BAR_MM, MOST_BAR_MM)] = 100.0


class Rib(_Table):
    """What a rib is made of as a solid."""

    thickness_mm: Annotated[float, _number(*THICKNESS_MM)] = 4.0
    edge_mm: Annotated[float, _number(0, THICKNESS_MM[1])] = 1.0
    bevel_degrees: Annotated[float, _number(*BEVEL_DEGREES)] = 45.0


COMMON_RIB = Rib()


class Settings(_Table):
    """The settings; every one has a default.

    Attributes:
        units: of sizes on the page and on cards.
        paper: of the sheets.
        scales_step_g: the step of her scales, to which a ball is rounded up.
        bat_thickness_mm: wheel head to the top of the bat.
        head_over_table_mm: top of the wheel head over the table beside it, where a knife guide stands.
        turning_radius_mm: of the wheel head or the bat, whichever reaches further; a guide stands clear of it.
        knife_mm: thickness of the blade that is led along a knife guide.
        cutters_mm: widths of the notch cutters she owns; real mm, they never shrink.
        bag_kg: what a bag of clay weighs.
        rib: thickness, flat left at the working edge and slant of its bevel, from the rib's face.
        printers: by name.
        printer: the one she prints on; the only one if there is one.
    """

    units: Units = "mm"
    paper: Literal["A4", "A3", "Letter", "Tabloid", "own"] = "A4"
    scales_step_g: Annotated[float, _number(0.1, 1000)] = 10.0
    bat_thickness_mm: LengthOrZero = 12.0
    # a guess at a common wheel and knife (no source): measure yours
    head_over_table_mm: LengthOrZero = 50.0
    turning_radius_mm: Length = 160.0
    knife_mm: LengthOrZero = 1.0
    cutters_mm: tuple[Length, ...] = ()
    bag_kg: Annotated[float, _number(0.1, 1000)] = 12.5
    rib: Rib = COMMON_RIB
    printers: dict[str, Printer] = {}
    printer: str | None = None


def settings_place(environ: Mapping[str, str], platform: str) -> Path | None:
    """`$PROFILER_SETTINGS`, else the file in the platform's config folder; None without a home."""
    if environ.get("PROFILER_SETTINGS"):
        return Path(environ["PROFILER_SETTINGS"])
    try:
        home = Path.home()
    except RuntimeError:
        return None
    if platform == "win32":
        folder = Path(environ.get("APPDATA") or home / "AppData" / "Roaming")
    elif platform == "darwin":
        folder = home / "Library" / "Application Support"
    else:
        named = Path(environ.get("XDG_CONFIG_HOME", ""))
        folder = named if named.is_absolute() else home / ".config"  # the XDG text says to ignore a relative one
    return folder / "profiler" / "settings.toml"


def load_settings(path: Path | None = None) -> Settings:
    """The settings from `path`, or from the usual place, where an absent file means the defaults.

    Raises:
        Fault: the file cannot be read, or a `path` given outright is not there.
        Faults: it holds what cannot be used.
    """
    if path is None:
        path = settings_place(os.environ, sys.platform)
        if path is None or not path.exists():
            return Settings()
    text = read_toml(path)
    try:
        return Settings.model_validate(text.data, context={"units": "mm"})
    except ValidationError as error:
        raise faults_of(error, text, Settings) from None
