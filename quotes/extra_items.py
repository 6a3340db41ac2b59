"""What a shop can charge beside its knives; much of it is what makers forget."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from billets.physics.errors import _
from quotes.rate_kinds import RateItem, items

Kind = Literal["extra", "charge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraItem:
    """One thing charged beside the knives.

    Attributes
    ----------
    label : str
        What pages and papers show.
    kind : {"extra", "charge"}
        Something delivered, or the cost of sending and paying.
    usual : str
        What it costs in a shop that has not said, as the customer reads it.
    """

    label: str
    kind: Kind
    usual: str


def _of(kind: Kind, *rows: tuple[str, str, str]) -> dict[str, ExtraItem]:
    return {
        key: ExtraItem(label=label, kind=kind, usual=usual)
        for key, label, usual in rows
    }


EXTRAS: Mapping[str, ExtraItem] = MappingProxyType(
    {
        **_of(
            "extra",
            ("sheath", _("Sheath"), "60.00"),
            ("saya", _("Wooden cover for the blade"), "90.00"),
            ("box", _("Box"), "35.00"),
            ("engraving", _("Engraving"), "40.00"),
            ("idea", _("Finding the idea and drawing it"), "80.00"),
            ("errand", _("Driving for material"), "30.00"),
            ("photos", _("Photographs of the making"), "40.00"),
            ("rush", _("Out of turn"), "0.00"),
            ("other", _("Something else"), "0.00"),
        ),
        **_of(
            "charge",
            ("shipping", _("Packing and sending"), "15.00"),
            ("insurance", _("Insurance on the way"), "10.00"),
            ("fees", _("Fees for card or payment"), "0.00"),
        ),
    }
)
"""What there is to choose from, in the order of the page. Prices are invented."""

EXTRA_ITEMS: tuple[RateItem, ...] = items(
    "extra",
    "money",
    *(
        (f"extra_{key}", one.label, _("as the customer reads it"), one.usual)
        for key, one in EXTRAS.items()
    ),
)
"""The shop's usual price of each."""
