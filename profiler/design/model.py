"""A design file: what the potter wrote, checked, in millimetres of the state she sized it in."""

from __future__ import annotations

import hashlib
import operator
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, create_model

from ..clay.body import Body, load_body
from ..clay.states import State
from ..faults import Fault
from ..forms import FORMS
from ..forms.shape import Asked, Form, Ring
from ..forms.sizes import Floor, FootRing, FormSizes, Table, Thrown, Wall
from ..lids.sizes import AnyLid, CutLid, Extra, Notch, Spoon
from .explained import faults_of
from .toml_text import TomlText, read_toml


class Head(Table):
    """What stands above the tables, and the tables that every form shares."""

    title: Annotated[str, Field(min_length=1, max_length=200)] | None = Field(
        None, description="Name of the piece on every sheet; the file's name unless said."
    )
    clay: str = Field("stoneware", description="A shipped body, or the path of a body file from this one.")
    sized: State = Field(State.FIRED, description="State in which all sizes here hold.")
    units: Literal["mm", "in"] = Field("mm", description="Unit of bare numbers.")
    wall: Wall = Wall()
    floor: Floor = Floor()
    foot_ring: FootRing | None = None
    thrown: Thrown | None = None
    lid: AnyLid | None = Field(None, description="A lid, and the seat it shares with the jar.")
    spoon: Spoon | None = Field(None, description="A spoon that lies in the jar.")
    notch: Notch | None = Field(None, description="The notch its handle passes through.")
    extras: tuple[Extra, ...] = Field((), description="What is stuck on: handles, pulled knobs.")


_AnyForm: Any = Annotated[reduce(operator.or_, (form.sizes for form in FORMS.values())), Field(discriminator="kind")]
DesignModel: type[Head] = create_model("Design", __base__=Head, form=(_AnyForm, Field(description="The vessel.")))
"""The design file's model: the head and one of the registered forms."""


@dataclass(frozen=True, eq=False)
class Design:
    """A design ready to be made.

    Attributes:
        path: its file.
        text: its text with line numbers.
        head: the validated file.
        form: its kind of vessel.
        sizes: the `[form]` table.
        body: its clay.
        lid_body: the clay of its lid, which may be another.
        asked: the other tables with defaults filled in, mm of the sized state.
    """

    path: Path
    text: TomlText
    head: Head
    form: Form
    sizes: FormSizes
    body: Body
    lid_body: Body
    asked: Asked

    @property
    def title(self) -> str:
        """Name of the piece."""
        return self.head.title or self.path.stem

    @property
    def digest(self) -> str:
        """Eight hex digits that change when design or a body change."""
        whole = self.head.model_dump_json() + self.body.digest_text() + self.lid_body.digest_text()
        return hashlib.sha256(whole.encode()).hexdigest()[:8]


def read_design(path: Path, *, cut_open: bool = False) -> Design:
    """Read one design file.

    Args:
        path: the file.
        cut_open: whether a cut lid may leave the height of its cut open, as a study finds one.

    Raises:
        Fault, Faults: it cannot be read or used; every fault carries file, line and field.
    """
    text = read_toml(path)
    if "piece" in text.data and "form" not in text.data:
        raise Fault(
            "a set, where one design is asked for", wanted="the path of one of its designs", file=path, line=1
        )
    return design_of(text, cut_open=cut_open)


def design_of(text: TomlText, *, cut_open: bool = False) -> Design:
    """The design in a text already read; `cut_open` as `read_design`.

    Raises:
        Fault, Faults: it cannot be used.
    """
    units = text.data.get("units", "mm")
    try:
        known = {"units": units if units in ("mm", "in") else "mm", "cut_open": cut_open}
        head = DesignModel.model_validate(text.data, context=known)
    except ValidationError as error:
        raise faults_of(error, text, DesignModel) from error
    sizes: FormSizes = head.form  # type: ignore[attr-defined]  # added by create_model
    form = FORMS[sizes.kind]  # type: ignore[attr-defined]  # every form's sizes have a kind
    try:
        body = _body(head.clay, text, "clay")
        lid_body = _body_of_lid(head, body, text)
        return Design(text.path, text, head, form, sizes, body, lid_body, resolved(head, form, sizes, body))
    except Fault as fault:
        raise text.fault(fault) from fault


def _body_of_lid(head: Head, body: Body, text: TomlText) -> Body:
    """The clay of the lid: the jar's, unless `[lid]` names one."""
    if head.lid is None or isinstance(head.lid, CutLid) or head.lid.clay is None:
        return body
    return _body(head.lid.clay, text, "lid.clay")


def _body(clay: str, text: TomlText, field: str) -> Body:
    """The clay a design names; that it names none there is belongs to the line of the design that names it."""
    path = text.path.parent / clay
    if clay.endswith(".toml") and "\0" not in clay and not path.exists():
        raise Fault("the clay's file is not there", str(path), "a body file, its path taken from this one", field)
    try:
        return load_body(clay, text.path.parent)
    except Fault as fault:
        raise (replace(fault, field=field) if fault.file is None else fault) from fault


def resolved(head: Head, form: Form, sizes: FormSizes, body: Body) -> Asked:
    """Defaults filled in. They are fired figures, brought to the state the design is sized in.

    Raises:
        Fault: two sizes that contradict each other.
    """
    d, k = form.defaults, body.scale(State.FIRED, head.sized)[0]
    rim_wall = head.wall.rim or k * d.rim_wall
    foot_wall = head.wall.foot or rim_wall + k * (d.foot_wall - d.rim_wall)
    ring = _ring(head.foot_ring, form, sizes, k)
    thrown = head.thrown
    trimmed = thrown is not None or d.trimmed
    thrown = thrown or Thrown()
    height = form.height(sizes)
    return Asked(
        rim_wall=rim_wall,
        foot_wall=foot_wall,
        floor=head.floor.thickness or k * d.floor,
        ring=ring,
        base_diameter=(thrown.base_diameter or ring.outer_diameter + 2 * k * d.base_margin) if trimmed else None,
        blend_height=(thrown.blend_height or d.blend_share * height) if trimmed else None,
        blend_given=thrown.blend_height is not None,
        skim=_first(thrown.skim, k * d.skim) if trimmed else 0.0,
        extra_wall=_first(thrown.extra_wall, 0.0),
        loss_percent=_first(thrown.loss_percent, d.loss_percent),
    )


def _ring(asked: FootRing | None, form: Form, sizes: FormSizes, k: float) -> Ring:
    d = form.defaults
    if asked is not None and not form.takes_ring:
        raise Fault(
            f"a {form.kind} has no turned ring", "[foot_ring]", "its own foot sizes under [form]", "foot_ring"
        )
    given = asked or FootRing()
    # a form without a ring of its own gets one of the usual depth as soon as one is asked for
    depth = _first(given.depth, k * (d.ring_depth or (4.0 if asked else 0.0)))
    named, outer = form.foot_named(sizes), given.outer_diameter
    if named is not None and outer is not None and abs(named - outer) > 0.05:
        raise Fault(
            "the foot has two different diameters",
            f"{outer:.1f} mm here, {named:.1f} mm under [form]",
            "one of them, or both alike",
            "foot_ring.outer_diameter",
        )
    if given.inner_diameter is None and (given.inner_width is not None or given.inner_short is not None):
        raise Fault("an inner ring without its diameter", "", "inner_diameter", "foot_ring")
    edge = k * d.ring_edge if depth or form.base_edge is None else form.base_edge(sizes)
    return Ring(
        outer_diameter=outer or named or form.foot_diameter(sizes),
        width=given.width or k * d.ring_width,
        depth=depth,
        recess=given.recess or d.recess,
        edge=_first(given.edge, edge),
        inner_diameter=given.inner_diameter,
        inner_width=given.inner_width or given.width or k * d.ring_width,
        inner_short=_first(given.inner_short, k * 0.4),
        nose=k * d.nose,
    )


def _first(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
