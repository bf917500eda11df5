"""The tables every design file may hold, whatever its form: wall, floor, foot ring, thrown."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from ..lengths import Length, LengthOrZero


class Table(BaseModel):
    """A table of a design file; unknown keys are faults."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Wall(Table):
    """Thickness square to the outside; it runs evenly along the wall from foot to rim."""

    rim: Length | None = Field(None, description="At the rim. Bowl 4, plate 4.5, cylinder 3.8, jar 4.2.")
    foot: Length | None = Field(None, description="Where the wall leaves the foot. Half a mm over the rim's.")


class Floor(Table):
    """The floor that is left after trimming."""

    thickness: Length | None = Field(None, description="On the axis. Bowl 4, plate 5, cylinder 4.5, jar 5.")


class FootRing(Table):
    """The turned ring a piece stands on, and a second one inside it for wide plates."""

    outer_diameter: Length | None = Field(None, description="At the standing face; 0.45 of a bowl's rim.")
    width: Length | None = Field(None, description="Of the ring; 6 unless said.")
    depth: LengthOrZero | None = Field(None, description="Bowl 5, plate 4; 0 leaves a flat base.")
    recess: Literal["flat", "domed"] | None = Field(
        None, description="Inside the ring: flat, or parallel to the inside of the piece."
    )
    edge: LengthOrZero | None = Field(None, description="Rounding of the ring's edges; 0.8 unless said.")
    inner_diameter: Length | None = Field(None, description="Outer diameter of a second, inner ring.")
    inner_width: Length | None = Field(None, description="Of the inner ring; half its diameter makes a button.")
    inner_short: LengthOrZero | None = Field(None, description="How far it stands short of the first; 0.4.")


Percent = Annotated[float, Field(ge=0, le=60, allow_inf_nan=False)]


class Thrown(Table):
    """What the piece is before trimming: the clay that is left at the foot on purpose."""

    base_diameter: Length | None = Field(None, description="As it stands on the bat.")
    blend_height: Length | None = Field(None, description="Above it the outside is thrown as it stays.")
    skim: LengthOrZero | None = Field(None, description="Clay between the ring's face and the bat; 1.")
    extra_wall: LengthOrZero | None = Field(None, description="Thicker wall above the blend height; 0.")
    loss_percent: Percent | None = Field(
        None, description="Slurry and what the hands take, of the ball. Cylinder, jar 5; bowl 7; plate 12."
    )


class FormSizes(Table):
    """The few sizes that make a form; each form adds its own."""
