"""The kiln of a set: its shelves, how high it is, and the room that pots and posts need in it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from ..faults import Fault, Faults
from ..forms.sizes import Table
from ..lengths import MM_PER_INCH, Length, LengthOrZero

POST_FOOT_MM = 30.0
"""Across the foot of a post (common practice, no source)."""

STOCK_POSTS_MM = tuple(half * MM_PER_INCH / 2 for half in (1, 2, 3, 4, 6, 8, 10, 12, 16, 20))
"""Half an inch to ten inches, a usual stock (common practice, no source)."""

_FEWEST_POSTS, _MOST_POSTS = 3, 8


class KilnTable(Table):
    """The `[kiln]` of a set file; every length is a real one, for kilns do not shrink."""

    shelf: Literal["round", "rectangular"] = Field(description="Shape of the shelves.")
    diameter: Length | None = Field(None, description="Of a round shelf.")
    width: Length | None = Field(None, description="Of a rectangular shelf, from side to side.")
    depth: Length | None = Field(None, description="Of a rectangular shelf, from front to back.")
    clear_height: Length = Field(
        description="What can be used over the lowest shelf, up to where the tallest pot may reach: what the kiln's "
        "manual wants kept free under its lid or roof is taken off already. More shelves stand within it."
    )
    space: LengthOrZero = Field(6.4, description="Between glazed pieces, and between them and posts.")
    posts: Annotated[int, Field(ge=0, le=_MOST_POSTS)] = Field(
        3, description=f"Under each shelf but the lowest, 3 to {_MOST_POSTS}; 0 for none, then one shelf is all."
    )
    post_heights: Annotated[tuple[Length, ...], Field(min_length=1, max_length=40)] = Field(
        STOCK_POSTS_MM, description="In stock; two may stand on each other."
    )
    shelf_thickness: Length = Field(15.0, description="Of a shelf.")
    headroom: LengthOrZero = Field(12.7, description="Between the tallest piece and the shelf over it.")
    edge_to_wall: LengthOrZero = Field(25.0, description="From the shelf's edge to wall or elements.")
    wall_space: LengthOrZero = Field(25.0, description="Kept between a piece and wall or elements.")
    rim: Literal["on_shelf", "overhang"] = Field(
        "on_shelf", description="Whether rims keep to the shelf, or may stand out over its edge; feet never do."
    )
    stack_limit: Annotated[int, Field(ge=1, le=50)] = Field(
        4, description="Pieces on each other in the bisque firing; 1 for none."
    )

    @model_validator(mode="after")
    def _agrees(self) -> KilnTable:
        """The keys of one shape of shelf, all of them, and posts enough to stand on.

        Raises:
            Faults: what contradicts or is missing.
        """
        own = {"round": ("diameter",), "rectangular": ("width", "depth")}
        faults = []
        for shape, keys in own.items():
            for key in keys:
                given = getattr(self, key)
                if shape == self.shelf and given is None:
                    faults.append(Fault(f"a {shape} shelf without its {key}", wanted=f"`{key}`", field=key))
                elif shape != self.shelf and given is not None:
                    wanted = " and ".join(f"`{k}`" for k in own[self.shelf])
                    faults.append(Fault(f"a {self.shelf} shelf has no {key}", f"{given:g} mm", wanted, key))
        if 0 < self.posts < _FEWEST_POSTS:
            wanted = f"{_FEWEST_POSTS} to {_MOST_POSTS}, or 0 for none"
            faults.append(Fault("a shelf does not stand on so few posts", str(self.posts), wanted, "posts"))
        least = min((size for size in (self.diameter, self.width, self.depth) if size is not None), default=None)
        if self.posts and least is not None and least < 2 * POST_FOOT_MM:
            key = min(("diameter", "width", "depth"), key=lambda k: getattr(self, k) or least + 1)
            faults.append(Fault("no room for posts", f"{least:g} mm", f"{2 * POST_FOOT_MM:g} mm or more", key))
        if faults:
            raise Faults(faults)
        return self
