"""The tables a design with a lid adds: `[lid]` by its kind, `[lid.knob]`, `[spoon]`, `[notch]` and `[[extras]]`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from ..faults import Fault
from ..forms.sizes import Table
from ..lengths import Length, LengthOrZero, SignedLength

Degrees = Annotated[float, Field(ge=0, lt=90, allow_inf_nan=False)]


class Knob(Table):
    """A knob turned on the lid from its own clay; one that is stuck on belongs under `[[extras]]`."""

    diameter: Length = Field(description="At its widest, the top.")
    height: Length = Field(description="Over the crown of the lid.")
    neck_diameter: Length | None = Field(None, description="Where it grows out of the lid; 0.7 of its diameter.")


class CutLid(Table):
    """A lid cut from a closed form with a knife held at a slant."""

    kind: Literal["cut"]
    height: Length | None = Field(
        None,
        validate_default=True,
        description="Where the middle of the gap meets the outside, from the table; only a study goes without.",
    )
    angle: Degrees = Field(40.0, description="Slant of the cut, degrees from horizontal.")
    slope: Literal["inward_down", "inward_up"] = Field(
        "inward_down", description="From outside to inside: down, the lid is a plug; up, it is a cap on a cone."
    )
    gap: LengthOrZero = Field(1.5, description="What knife and sponge take, square to the joint.")
    edge: LengthOrZero = Field(0.5, description="Rounding the sponge leaves on each edge of the joint.")
    fill_line: Length | None = Field(None, description="How far under the rim it is filled; 12 fired unless said.")
    at_cut: Length | None = Field(
        None, description="Wall at the cut, square to the outside, thicker on the inside; as it runs unless said."
    )
    knob: Knob | None = None

    @field_validator("height")
    @classmethod
    def _is_known(cls, height: float | None, info: ValidationInfo) -> float | None:
        """Where it is cut must be said, but for a study, which looks for the place."""
        if height is None and not (info.context or {}).get("cut_open"):
            raise Fault("a key is missing", wanted="the height of the cut; `profiler study` finds one")
        return height


class _Fitted(Table):
    """What the lids that are thrown by themselves share; lengths in the state the design is sized in."""

    clearance: LengthOrZero = Field(1.0, description="Play per side between lid and jar.")
    thickness: Length = Field(5.0, description="Of the lid, on its axis.")
    edge_thickness: Length = Field(5.0, description="Of the lid at its edge.")
    rise: LengthOrZero = Field(8.0, description="How much higher the crown is than the edge.")
    thrown: Literal["upside_down", "right_way_up"] = Field(
        "upside_down", description="How the lid is thrown: with its underside up, or with its knob up."
    )
    knob: Knob | None = None
    fill_line: Length | None = Field(None, description="How far under the rim it is filled; 12 fired unless said.")
    clay: str | None = Field(None, description="A body of its own for the lid; the jar's unless said.")
    fired: Literal["together", "apart"] = Field(
        "together", description="Whether lid and jar dry and go through the kiln as a pair."
    )
    out_of_round: LengthOrZero = Field(
        0.7, description="By how much mouth and lid together miss a circle, on the diameter, real mm in every state."
    )


class GalleryLid(_Fitted):
    """A lid that rests on a ledge inside the mouth."""

    kind: Literal["gallery"]
    ledge_width: Length = Field(5.0, description="How far the ledge stands in from the seat.")
    ledge_depth: Length = Field(6.0, description="From the top of the rim down to the ledge.")
    ledge_thickness: Length = Field(4.0, description="Of the ledge at its lip.")


class FlangeLid(_Fitted):
    """A lid that rests on the rim and is held by a collar that goes into the mouth."""

    kind: Literal["flange"]
    collar_depth: Length = Field(9.0, description="How far the collar goes into the mouth.")
    collar_thickness: Length = Field(4.0, description="Of the collar.")
    overhang: SignedLength = Field(0.0, description="How far the lid's edge stands out over the rim's.")


class CapLid(_Fitted):
    """A lid that comes down over a neck and rests on the rim."""

    kind: Literal["cap"]
    skirt_depth: Length = Field(18.0, description="How far the lid comes down over the neck.")
    skirt_thickness: Length = Field(4.0, description="Of the skirt.")


AnyLid = Annotated[CutLid | GalleryLid | FlangeLid | CapLid, Field(discriminator="kind")]


class Spoon(Table):
    """A spoon measured once; metal, so it never shrinks: real lengths."""

    length: Length = Field(description="From the tip of the bowl to the end of the handle.")
    handle_width: Length = Field(description="Where it crosses the rim.")
    handle_thickness: Length = Field(2.0, description="There.")
    bowl_width: Length | None = Field(None, description="Across the bowl; 0.65 of its length.")
    bowl_length: Length | None = Field(None, description="0.3 of the spoon.")
    balance: Length | None = Field(None, description="From the bowl's tip to where it balances; 0.45 of the length.")
    steepest: Degrees = Field(60.0, description="Steepest she holds it while scooping, degrees from horizontal.")


class Notch(Table):
    """The notch the spoon's handle passes through."""

    in_: Literal["jar", "lid", "both"] = Field("jar", alias="in", description="Where it is cut.")
    clearance: LengthOrZero = Field(1.0, description="On each side of the handle, fired.")
    depth: Length | None = Field(
        None, description="Of its floor under the rim, fired; what the spoon needs unless said."
    )
    cutters: tuple[Length, ...] = Field((), description="Widths of the cutters to choose from, real mm.")


class Extra(Table):
    """Something stuck on: a handle, a pulled knob."""

    name: Annotated[str, Field(min_length=1, max_length=60, description="What it is, such as pulled knob.")]
    weight_g: Annotated[float, Field(gt=0, le=20000, allow_inf_nan=False)] = Field(description="Wet, as it is made.")
    reach: LengthOrZero = Field(0.0, description="How far it stands out beyond the piece's side.")
    height: LengthOrZero = Field(0.0, description="How far it stands up over the piece's top.")
    on: Literal["piece", "lid"] = Field("piece", description="What it is stuck to.")
