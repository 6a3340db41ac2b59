"""What the physics says when a plan cannot be, or should be looked at twice.

The core knows no language: an error and a flag both carry a constant sentence with
named placeholders, their values in SI units, and the field to change. The view
translates the sentence and shows the values in the shop's units.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal


def _(message: str) -> str:
    """Mark a sentence for translation and return it unchanged."""
    return message


class Refusal(ValueError):
    """Something cannot be as asked; ``field`` is the input to change.

    ``message`` is constant text with named placeholders, marked for translation;
    ``values`` fills them, measured ones in SI units. Catch its families: PlanError
    here, UnitError of ``billets.grammar``, StageError of ``shop.stages``, QuoteError
    of ``quotes.errors``.
    """

    def __init__(
        self, message: str, *, field: str | None = None, **values: object
    ) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.values = values


class PlanError(Refusal):
    """The plan cannot be made as written."""


Level = Literal["note", "amber", "red"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """A sentence about a plan that can be made but should be looked at twice.

    Attributes
    ----------
    message : str
        Constant text with named placeholders.
    field : str or None
        The input it speaks of.
    level : {"note", "amber", "red"}
        How much it matters; red asks for a tick before going on.
    values : mapping
        What fills the placeholders, in SI units.
    """

    message: str
    field: str | None = None
    level: Level = "amber"
    # Not the bare name: inside this class, field is the attribute above.
    values: Mapping[str, object] = dataclasses.field(
        default_factory=lambda: MappingProxyType({})
    )
