"""The five states a pot goes through, in order."""

from __future__ import annotations

from enum import StrEnum


class State(StrEnum):
    """A state of the clay; iterating over the class gives them in order."""

    WET = "wet"
    LEATHER_HARD = "leather_hard"
    BONE_DRY = "bone_dry"
    BISQUE = "bisque"
    FIRED = "fired"

    @property
    def words(self) -> str:
        """The state as a card says it.

        >>> State.WET.words
        'as thrown'
        """
        return _WORDS[self]


_WORDS = {
    State.WET: "as thrown",
    State.LEATHER_HARD: "leather-hard",
    State.BONE_DRY: "bone-dry",
    State.BISQUE: "bisque-fired",
    State.FIRED: "glaze-fired",
}
