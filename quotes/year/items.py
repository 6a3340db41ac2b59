"""What a year of the shop and its machines cost, with the values it starts from.

These rates make no price by themselves: the page of the shop's hour computes from
them what an hour at the bench and of each machine must bring in, and those rates make
the prices. The starting values are invented, and the page says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import HUNDRED
from quotes.rate_kinds import RateItem, items

MACHINES: Mapping[str, str] = MappingProxyType(
    {
        "grinder": _("Grinder"),
        "forging_tool": _("Press or power hammer"),
        "kiln": _("Kiln"),
    }
)
"""Machines with an hour of their own, by the key of the rate quotes charge them at."""


def machine_key(machine: str, part: str) -> str:
    """Return the key of what a machine costs.

    >>> machine_key("kiln", "life")
    'machine_kiln_life'
    """
    return f"machine_{machine}_{part}"


YEAR_GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "year": _("What the shop costs in a year"),
        "paid": _("Hours that customers pay"),
        "machines": _("The same for every machine"),
        **{machine_key(key, "own"): label for key, label in MACHINES.items()},
    }
)
"""The tables of the page of the shop's hour, in order."""

_USE: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "grinder": (_("Running time"), _("hours a year")),
        "forging_tool": (_("Running time"), _("hours a year")),
        "kiln": (_("Firings"), _("a year")),
    }
)
_PARTS = ("replacement", "price", "life", "use", "area", "upkeep")
_MACHINES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "grinder": ("2600", "2100", "9", "480", "2.5", "4"),
        "forging_tool": ("2800", "2400", "20", "300", "1.5", "2"),
        "kiln": ("1300", "1150", "12", "300", "0.5", "2"),
    }
)


def _machine_items(machine: str) -> tuple[RateItem, ...]:
    group = machine_key(machine, "own")
    shipped = dict(zip(_PARTS, _MACHINES[machine], strict=True))

    def row(part: str, label: str, unit: str) -> tuple[str, str, str, str]:
        return machine_key(machine, part), label, unit, shipped[part]

    return (
        *items(
            group,
            "money",
            row("replacement", _("A new one costs"), ""),
            row("price", _("What it cost"), ""),
        ),
        *items(
            group,
            "amount",
            row("life", _("Life"), _("years")),
            row("use", *_USE[machine]),
            row("area", _("Floor, the place to work included"), "m²"),
        ),
        *items(
            group,
            "percent",
            row("upkeep", _("Upkeep of what it cost"), _("% a year")),
        ),
    )


YEAR_COSTS: tuple[RateItem, ...] = items(
    "year",
    "money",
    ("year_income", _("Income you want"), _("a year"), "32400"),
    ("year_charges", _("Income tax and social charges"), _("a year"), "8800"),
    ("year_rent", _("Rent of the whole shop"), _("a year"), "5040"),
    (
        "year_depreciation",
        _("Depreciation of all tools and machines"),
        _("a year"),
        "1900",
    ),
    ("year_insurance", _("Insurance"), _("a year"), "1350"),
    (
        "year_energy",
        _("Base energy: heating, light of the room, the meter"),
        _("a year"),
        "950",
    ),
    ("year_accounting", _("Accounting"), _("a year"), "1600"),
    ("year_marketing", _("Marketing"), _("a year"), "1250"),
    ("year_training", _("Training"), _("a year"), "600"),
    ("year_other", _("Everything else"), _("a year"), "2150"),
)
"""Costs of a year that an hour at the bench carries, each typed once."""

YEAR_ITEMS: tuple[RateItem, ...] = (
    *YEAR_COSTS,
    *items(
        "paid",
        "amount",
        ("year_weeks", _("Weeks at work"), _("a year"), "46"),
        ("year_week_hours", _("Hours at work"), _("a week"), "40"),
    ),
    *items(
        "paid",
        "percent",
        ("year_billable", _("Hours that customers pay, of those worked"), "%", "60"),
    ),
    *items(
        "machines",
        "money",
        ("machines_floor", _("Rent of the floor"), _("per m² and month"), "7.00"),
    ),
    *items(
        "machines",
        "percent",
        ("machines_interest", _("Interest on half of what it cost"), _("% a year"),
         "3"),
    ),
    *(item for key in MACHINES for item in _machine_items(key)),
)  # fmt: skip
"""Everything the page of the shop's hour asks for, in its order."""

YEAR_ITEM_OF: Mapping[str, RateItem] = MappingProxyType(
    {item.key: item for item in YEAR_ITEMS}
)

MACHINE_OF: Mapping[str, str] = MappingProxyType(
    {machine_key(key, "own"): label for key, label in MACHINES.items()}
)
"""The machine a group is about."""

_ABOVE_ZERO = frozenset(
    {
        "year_weeks", "year_week_hours", "year_billable",
        *(machine_key(key, part) for key in MACHINES for part in ("life", "use")),
    }
)  # fmt: skip
_MOST: Mapping[str, Decimal] = MappingProxyType(
    {
        "year_weeks": Decimal(52),
        "year_week_hours": Decimal(168),
        machine_key("grinder", "use"): Decimal(8784),
        machine_key("forging_tool", "use"): Decimal(8784),
    }
)
"""No year has more weeks and hours than these."""


def check_year(key: str, value: Decimal) -> None:
    """Refuse a value no hour can be computed from; ``field`` is its key."""
    item = YEAR_ITEM_OF[key]
    most = _MOST.get(key, HUNDRED if item.kind == "percent" else None)
    wrong = None
    if not value.is_finite():
        wrong = _("{rate} must be a number.")
    elif value < 0:
        wrong = _("{rate} must not be below zero: {value}.")
    elif value == 0 and key in _ABOVE_ZERO:
        wrong = _("{rate} must be above zero.")
    elif most is not None and value > most:
        wrong = _("{rate} can be at most {most}, not {value}.")
    if wrong:
        raise QuoteError(wrong, field=key, rate=item.label, value=value, most=most)
