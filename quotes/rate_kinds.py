"""What one thing is that a shop can set, and rows of such things."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Kind = Literal["money", "percent", "amount", "stage"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RateItem:
    """One thing a shop can set.

    Attributes
    ----------
    key, label : str
        What rows keep, and what pages show.
    kind : {"money", "percent", "amount", "stage"}
        Money is in the shop's currency; a stage is its place on the bench, from 1.
    unit : str
        What the value counts or is paid for; empty where the label says it.
    default : Decimal
        The value shipped.
    group : str
        Key of ``GROUPS``: which table of the page it stands in.
    """

    key: str
    label: str
    kind: Kind
    unit: str
    default: Decimal
    group: str


Row = tuple[str, str, str, str]


def items(group: str, kind: Kind, *rows: Row) -> tuple[RateItem, ...]:
    """Return the things of a group: key, label, unit and the value shipped."""
    return tuple(
        RateItem(
            key=key,
            label=label,
            kind=kind,
            unit=unit,
            default=Decimal(default),
            group=group,
        )
        for key, label, unit, default in rows
    )
