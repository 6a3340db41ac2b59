"""What an hour must bring in, and what margin and markup have to do with each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import ZERO, rounded, total

MONTHS = Decimal(12)


def shop_hour(
    yearly_costs: Iterable[Decimal], billable_hours: Decimal, places: int = 2
) -> Decimal:
    """Return what an hour at the bench must bring in to carry a year.

    Parameters
    ----------
    yearly_costs : iterable of Decimal
        Income wanted, charges, rent, depreciation, insurance and the rest; each
        cost once, here or in a machine's hour [currency].
    billable_hours : Decimal
        Hours a year that customers pay; rarely more than two thirds of those worked
        in a one-person shop (common practice, no source) [h].
    places : int
        Decimal places kept [1].

    Returns
    -------
    Decimal
        Rate of an hour [currency per hour].

    Examples
    --------
    >>> shop_hour([Decimal(30000), Decimal(6000)], Decimal(900))
    Decimal('40.00')
    """
    if billable_hours <= 0:
        raise QuoteError(
            _("Say how many hours a year are paid; it must be above zero."),
            field="billable_hours",
        )
    return rounded(total(yearly_costs) / billable_hours, places)


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A machine and the place it stands in, by the year.

    Attributes
    ----------
    price, replacement : Decimal
        What it cost, and what a new one costs [currency].
    life : Decimal
        Years it lasts [year].
    hours : Decimal
        Hours a year it runs, idle and maintenance taken off [h].
    interest : Decimal
        Yearly interest on half its price [1].
    area, area_price : Decimal
        Floor it takes [m^2], and rent [currency per m^2 and month].
    power, power_price : Decimal
        Energy it draws [kWh per hour], and its price [currency per kWh]; zero where
        energy has a line of its own.
    upkeep : Decimal
        Yearly upkeep as a share of its price [1].
    """

    price: Decimal
    replacement: Decimal
    life: Decimal
    hours: Decimal
    interest: Decimal = ZERO
    area: Decimal = ZERO
    area_price: Decimal = ZERO
    power: Decimal = ZERO
    power_price: Decimal = ZERO
    upkeep: Decimal = ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineHour:
    """What an hour of a machine costs, by cause [currency per hour]."""

    depreciation: Decimal
    interest: Decimal
    space: Decimal
    energy: Decimal
    upkeep: Decimal

    @property
    def rate(self) -> Decimal:
        """Return the sum of the causes, as shown."""
        return total(
            (self.depreciation, self.interest, self.space, self.energy, self.upkeep)
        )


def machine_hour(machine: Machine, places: int = 2) -> MachineHour:
    """Return what an hour of a machine costs.

    Parameters
    ----------
    machine : Machine
        The machine and its year.
    places : int
        Decimal places of each cause [1].

    Returns
    -------
    MachineHour
        Every cause, halves up.

    References
    ----------
    VDI 3258 sheet 1, from a restatement (quoted from memory, verify).
    """
    if machine.life <= 0 or machine.hours <= 0:
        raise QuoteError(
            _("A machine needs a life in years and hours a year above zero."),
            field="life" if machine.life <= 0 else "hours",
        )
    hours = machine.hours
    depreciation = machine.replacement / machine.life / hours
    interest = machine.interest * machine.price / 2 / hours
    space = machine.area * machine.area_price * MONTHS / hours
    return MachineHour(
        depreciation=rounded(depreciation, places),
        interest=rounded(interest, places),
        space=rounded(space, places),
        energy=rounded(machine.power * machine.power_price, places),
        upkeep=rounded(machine.upkeep * machine.price / hours, places),
    )


def price_at_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """Return the price of which a share is left over the cost; not rounded.

    >>> price_at_margin(Decimal(85), Decimal("0.15"))
    Decimal('1E+2')
    """
    if not 0 <= margin < 1:
        raise QuoteError(
            _("A margin of the price lies from 0 to below 100 %."),
            field="margin",
        )
    return cost / (1 - margin)


def price_at_markup(cost: Decimal, markup: Decimal) -> Decimal:
    """Return the price that adds a share to the cost; not rounded.

    >>> price_at_markup(Decimal(40), Decimal("0.5"))
    Decimal('60.0')
    """
    if markup < 0:
        raise QuoteError(_("A markup must not be below zero."), field="markup")
    return cost * (1 + markup)


def margin_in(price: Decimal, cost: Decimal) -> Decimal:
    """Return the share of a price that is left over its cost.

    >>> margin_in(Decimal(100), Decimal(85))
    Decimal('0.15')
    """
    if price <= 0:
        raise QuoteError(_("A price must be above zero."), field="price")
    return (price - cost) / price


def markup_of(margin: Decimal) -> Decimal:
    """Return the markup on cost that gives a margin on the price.

    >>> markup_of(Decimal("0.20"))
    Decimal('0.25')
    """
    return price_at_margin(Decimal(1), margin) - 1


def margin_of(markup: Decimal) -> Decimal:
    """Return the margin on the price that a markup on cost gives.

    >>> margin_of(Decimal("0.25"))
    Decimal('0.2')
    """
    return markup / price_at_markup(Decimal(1), markup)
