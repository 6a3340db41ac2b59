"""The shop's year: what it costs, where each cost went, what an hour must bring in.

No cost counts twice. What the machines wear off is taken out of the yearly
depreciation, and the rent of their floor out of the rent; both ride in their hours.
Electricity they draw at work has a line of its own in every quote and is in no hour.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import EXPONENTS, HUNDRED, ZERO, money, total
from quotes.rate_items import ITEM_OF
from quotes.year.items import (
    MACHINES,
    YEAR_COSTS,
    YEAR_ITEM_OF,
    check_year,
    machine_key,
)
from quotes.year.rate import Machine, MachineHour, machine_hour, shop_hour

MOST_RATE = Decimal(10) ** 7
"""A rate is kept below this."""

MOST_BILLABLE = Decimal(67)
"""Above so many per cent a shop of one person should look twice (common practice)."""

_DRAWN: Mapping[str, tuple[tuple[str, ...], Decimal]] = {
    "grinder": (("kwh_grinder", "kwh_extraction"), Decimal(1)),
    "forging_tool": (("kwh_forging_tool",), Decimal(1)),
    "kiln": (("kwh_harden", "kwh_temper"), Decimal("0.5")),
}
"""Rates a machine draws by when it runs, as quotes charge them, and their weight; of a
blade's two firings one hardens and one tempers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One cost of the year and where it went [currency a year].

    Attributes
    ----------
    label : str
        What it is.
    year : Decimal
        All of it.
    hour, machine, own : Decimal
        What the hour at the bench carries of it, what the machines' hours carry, and
        what has a line of its own in quotes.
    """

    label: str
    year: Decimal
    hour: Decimal = ZERO
    machine: Decimal = ZERO
    own: Decimal = ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineYear:
    """A machine's year.

    Attributes
    ----------
    key : str
        Its rate: a key of ``MACHINES``.
    use : Decimal
        Hours a year it runs, or firings [h or 1].
    hour : MachineHour
        What one of them costs, by cause.
    year : MachineHour
        What all of them cost, by cause, with the electricity they draw.
    """

    key: str
    use: Decimal
    hour: MachineHour
    year: MachineHour


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopYear:
    """The year of a shop and the rates it comes to.

    Attributes
    ----------
    shares : tuple of Share
        Every cost, in the order of the page.
    weeks, week_hours, billable : Decimal
        Weeks a year, hours a week at work [h], and per cent of them that are paid.
    rate : Decimal
        What an hour at the bench must bring in [currency per hour].
    machines : tuple of MachineYear
        The machines, in the order of the page.
    """

    shares: tuple[Share, ...]
    weeks: Decimal
    week_hours: Decimal
    billable: Decimal
    rate: Decimal
    machines: tuple[MachineYear, ...]

    @property
    def hours(self) -> Decimal:
        """Hours a year that customers pay [h]."""
        return self.weeks * self.week_hours * self.billable / HUNDRED

    @property
    def whole(self) -> Share:
        """The sum of all costs, column by column."""
        return Share(
            label=_("Together"),
            year=total(one.year for one in self.shares),
            hour=total(one.hour for one in self.shares),
            machine=total(one.machine for one in self.shares),
            own=total(one.own for one in self.shares),
        )

    @property
    def rates(self) -> dict[str, Decimal]:
        """The rates of quotes this comes to, by key."""
        return {"labour": self.rate} | {one.key: one.hour.rate for one in self.machines}


def shop_year(values: Mapping[str, Decimal], currency: str) -> ShopYear:
    """Return the year of a shop.

    Parameters
    ----------
    values : mapping of str to Decimal
        Every rate in force by its key: those of the year and, for what machines draw,
        those of electricity.
    currency : str
        ISO 4217 code; its smallest unit is what all amounts are rounded to.

    Returns
    -------
    ShopYear
        QuoteError naming the rate that is missing or cannot be; nothing is taken over
        from elsewhere.
    """
    for key in YEAR_ITEM_OF:
        check_year(key, _value(values, key))
    machines = tuple(_machine_year(key, values, currency) for key in MACHINES)
    shares = (
        *_shared(values, machines, currency),
        *_added(machines),
    )
    weeks, week_hours, billable = (
        values[key] for key in ("year_weeks", "year_week_hours", "year_billable")
    )
    rate = shop_hour(
        [one.hour for one in shares],
        weeks * week_hours * billable / HUNDRED,
        EXPONENTS[currency],
    )
    return ShopYear(
        shares=shares,
        weeks=weeks,
        week_hours=week_hours,
        billable=billable,
        rate=_kept(rate, "year_week_hours"),
        machines=machines,
    )


def _value(values: Mapping[str, Decimal], key: str) -> Decimal:
    if key in values:
        return values[key]
    if key in YEAR_ITEM_OF:
        raise QuoteError(
            _("{rate} is missing: type a value."),
            field=key,
            rate=YEAR_ITEM_OF[key].label,
        )
    raise QuoteError(
        _("The rate {rate} is missing; enter it on the page of rates."),
        field=key,
        rate=ITEM_OF[key].label,
    )


def _kept(rate: Decimal, field: str) -> Decimal:
    """Refuse a rate too large to be kept: so few hours are a slip of typing."""
    if rate >= MOST_RATE:
        raise QuoteError(
            _("With so few hours an hour comes to {taken}: look at this number."),
            field=field,
            taken=rate,
        )
    return rate


# --- machines --------------------------------------------------------------------


def _machine_year(
    key: str, values: Mapping[str, Decimal], currency: str
) -> MachineYear:
    replacement, price, life, use, area, upkeep = (
        values[machine_key(key, part)]
        for part in ("replacement", "price", "life", "use", "area", "upkeep")
    )
    machine = Machine(
        price=price, replacement=replacement, life=life, hours=use,
        interest=values["machines_interest"] / HUNDRED, area=area,
        area_price=values["machines_floor"], upkeep=upkeep / HUNDRED,
    )  # fmt: skip
    hour = machine_hour(machine, EXPONENTS[currency])
    _kept(hour.rate, machine_key(key, "use"))
    drawn = _drawn(key, values) * use
    return MachineYear(
        key=key, use=use, hour=hour, year=_causes(machine, drawn, currency)
    )


def _causes(machine: Machine, drawn: Decimal, currency: str) -> MachineHour:
    """Return what a machine costs in a year, by cause: the hour's formula times use."""
    year = machine_hour(replace(machine, hours=Decimal(1)), EXPONENTS[currency])
    return replace(year, energy=money(drawn, currency))


def _drawn(key: str, values: Mapping[str, Decimal]) -> Decimal:
    """Return what the electricity of an hour or firing costs, as quotes charge it."""
    rates, weight = _DRAWN[key]
    drawn = total(_value(values, rate) for rate in rates)
    return drawn * weight * _value(values, "electricity")


# --- where each cost went ----------------------------------------------------------

_Cause = Callable[[MachineHour], Decimal]
_TAKEN: Mapping[str, tuple[_Cause, str]] = {
    "year_rent": (
        lambda one: one.space,
        _(
            "The floor of the machines costs {taken} a year, more than the {whole} of "
            "rent: raise the rent, or take less floor or a lower price of it."
        ),
    ),
    "year_depreciation": (
        lambda one: one.depreciation,
        _(
            "The machines wear off {taken} a year by their prices and lives, more than "
            "the {whole} of depreciation: raise it, or let a machine last longer."
        ),
    ),
}
"""What the machines' hours take over from a cost of the year."""


def _shared(
    values: Mapping[str, Decimal], machines: Sequence[MachineYear], currency: str
) -> tuple[Share, ...]:
    """Return the costs typed for the year; the machines' part is taken out of each."""
    return tuple(
        _split(item.key, item.label, money(values[item.key], currency), machines)
        for item in YEAR_COSTS
    )


def _split(
    key: str, label: str, whole: Decimal, machines: Sequence[MachineYear]
) -> Share:
    if key not in _TAKEN:
        return Share(label=label, year=whole, hour=whole)
    cause, refusal = _TAKEN[key]
    taken = total(cause(one.year) for one in machines)
    if taken > whole:
        raise QuoteError(refusal, field=key, taken=taken, whole=whole)
    return Share(label=label, year=whole, hour=whole - taken, machine=taken)


def _added(machines: Sequence[MachineYear]) -> tuple[Share, ...]:
    """Return what comes on top of the year's bills: imputed, or charged by the kWh."""
    interest = total(one.year.interest for one in machines)
    upkeep = total(one.year.upkeep for one in machines)
    energy = total(one.year.energy for one in machines)
    return (
        Share(label=_("Interest on the machines"), year=interest, machine=interest),
        Share(label=_("Upkeep of the machines"), year=upkeep, machine=upkeep),
        Share(label=_("Electricity of the machines"), year=energy, own=energy),
    )
