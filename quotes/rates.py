"""The rates a price is made with: of one shop, in one currency, from one day on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from billets.physics.errors import _
from quotes import scrap
from quotes.errors import QuoteError
from quotes.money import HUNDRED, ZERO, cent, quantity
from quotes.pert import ThreePoint
from quotes.rate_items import ITEM_OF, POINTS, RATE_ITEMS, hours_key
from shop import stages
from shop.learning import LEAST_WORTH, MOST_WORTH, Forecast

MEAN_PLACES = 6
"""Decimal places of learned hours, before a knife's driver multiplies them."""

SHIPPED_FROM = dt.date(2026, 1, 1)
"""The day from which the shipped values count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Regime:
    """A way of being taxed: whether tax is added, and what the paper has to say."""

    key: str
    taxed: bool
    note: str


REGIMES: Mapping[str, Regime] = MappingProxyType(
    {
        one.key: one
        for one in (
            Regime(
                key="standard",
                taxed=True,
                note=_("Tax is computed once on the net sum, halves rounded up."),
            ),
            Regime(
                key="small",
                taxed=False,
                note=_("No tax is shown: the small business exemption applies."),
            ),
            Regime(
                key="export",
                taxed=False,
                note=_("Export without tax; the buyer pays import charges."),
            ),
        )
    }
)
"""The regimes a shop can choose from. None is a verdict: ask an adviser."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """How a shop is taxed from a day on: a setting, with its rate in per cent."""

    regime: str
    percent: Decimal
    valid_from: dt.date
    note: str = ""

    def __post_init__(self) -> None:
        if self.regime not in REGIMES:
            raise QuoteError(
                _("The tax regime {regime} is not known; choose one of the list."),
                field="tax_regime",
                regime=self.regime,
            )
        if not 0 <= self.percent <= HUNDRED:
            raise QuoteError(
                _("A tax rate lies between 0 and 100 %, not at {rate} %."),
                field="tax_rate",
                rate=self.percent,
            )

    @property
    def charged(self) -> Decimal:
        """Return the per cent added to a net price, nothing in an untaxed regime."""
        return self.percent if REGIMES[self.regime].taxed else ZERO

    @property
    def paper_note(self) -> str:
        """Return the shop's own sentence for the paper, else that of the regime."""
        return self.note or REGIMES[self.regime].note


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """The values of ``RATE_ITEMS`` in force, with currency and tax.

    Attributes
    ----------
    values : mapping of str to Decimal
        Value of each rate by its key. One that is missing is asked for when needed.
    currency : str
        ISO 4217 code.
    valid_from : date
        The day from which all of them are in force.
    tax : Tax or None
        None where the shop has not said how it is taxed; then there is no price.
    source : {"shop", "shipped"}
        Whose values they are.
    overridden : tuple of str
        Keys whose values a job brought with it.
    learned : mapping of str to Forecast
        What the shop's own knives taught, by row of hours; rows without one go by the
        three points.
    deposit_covers : bool
        Whether the deposit is raised to what is spent before flaws can show.
    """

    values: Mapping[str, Decimal]
    currency: str
    valid_from: dt.date
    tax: Tax | None
    source: Literal["shop", "shipped"] = "shop"
    overridden: tuple[str, ...] = ()
    learned: Mapping[str, Forecast] = field(
        default_factory=lambda: MappingProxyType({})
    )
    deposit_covers: bool = False

    def __post_init__(self) -> None:
        cent(self.currency)
        for key, value in self.values.items():
            check_rate(key, value)

    def value(self, key: str) -> Decimal:
        """Return a rate by its key; QuoteError naming it if the shop has none."""
        if key not in self.values:
            raise QuoteError(
                _("The rate {rate} is missing; enter it on the page of rates."),
                field=key,
                rate=_label(key),
            )
        return self.values[key]

    def share(self, key: str) -> Decimal:
        """Return a rate given in per cent as a share of one."""
        return self.value(key) / HUNDRED

    def hours(self, row: str) -> ThreePoint:
        """Return the three points of a row of hours."""
        least, likely, most = (self.value(hours_key(row, point)) for point in POINTS)
        if not least <= likely <= most:
            raise QuoteError(
                _(
                    "The hours of {row} must rise from least over likely to most: "
                    "{least}, {likely}, {most}."
                ),
                field=hours_key(row, "likely"),
                row=stages.HOURS_ROWS[row],
                least=least,
                likely=likely,
                most=most,
            )
        return ThreePoint(least=least, likely=likely, most=most)

    def taught(self, row: str) -> Decimal | None:
        """Return the expected value the shop's own knives taught of a row, if any.

        Hours of the usual knife; of the billet a factor on the hours of its plan.
        """
        known = self.learned.get(row)
        return None if known is None else quantity(known.mean, MEAN_PLACES)

    def chain(self) -> tuple[scrap.Link, ...]:
        """Return the chain of the bench: success and restart of each stage."""
        return _chain(self.value)


def kept_chain(values: Mapping[str, Decimal]) -> tuple[scrap.Link, ...]:
    """Return the chain of the bench at rates kept with a quote; empty if they lack it.

    >>> kept_chain({})
    ()
    """
    kinds = ("success", "restart")
    names = [f"{kind}_{key}" for kind in kinds for key in stages.bench()]
    known = all(name in values for name in names)
    return _chain(values.__getitem__) if known else ()


def _chain(value: Callable[[str], Decimal]) -> tuple[scrap.Link, ...]:
    successes = [value(f"success_{key}") / HUNDRED for key in stages.bench()]
    restarts = [int(value(f"restart_{key}")) - 1 for key in stages.bench()]
    return scrap.chain(successes, restarts)


def _label(key: str) -> str:
    return ITEM_OF[key].label if key in ITEM_OF else key


def check_rate(key: str, value: Decimal) -> None:
    """Refuse a rate that does not exist or cannot have that value; ``field`` is it."""
    if key not in ITEM_OF:
        raise QuoteError(_("There is no rate {rate}."), field=key, rate=key)
    wrong = _wrong(key, value)
    if wrong:
        raise QuoteError(wrong, field=key, rate=_label(key), value=value)


def _wrong(key: str, value: Decimal) -> str | None:
    if not value.is_finite():
        return _("{rate} must be a number.")
    if value < 0:
        return _("{rate} must not be below zero: {value}.")
    if key == "margin" and value >= HUNDRED:
        return _("{rate} must stay below 100 %, or there is no price.")
    if key in _ABOVE_ZERO and value == 0:
        return _("{rate} must be above zero.")
    if key == "hours_worth" and not LEAST_WORTH <= value <= MOST_WORTH:
        return _("{rate}: from 2 to 5, not {value}.")
    return _beyond(key, value)


def _beyond(key: str, value: Decimal) -> str | None:
    kind = ITEM_OF[key].kind
    if kind == "percent" and value > HUNDRED:
        return _("{rate} must not be above 100 %: {value}.")
    if kind == "stage" and value not in _restarts(key):
        return _("{rate}: a failure starts again in the same stage or an earlier one.")
    return None


def _restarts(key: str) -> range:
    return range(1, stages.bench().index(key.removeprefix("restart_")) + 2)


_ABOVE_ZERO = frozenset(
    {
        "use_coarse", "use_medium", "usual_area", "usual_blank", "usual_ground",
        *(f"success_{key}" for key in stages.bench()),
    }
)  # fmt: skip


def shipped_rates(currency: str = "EUR") -> Rates:
    """Return the rates the program ships with: practice or invented, to be edited.

    >>> rates = shipped_rates()
    >>> rates.value("price_pin"), rates.source
    (Decimal('1.50'), 'shipped')
    """
    return Rates(
        values=MappingProxyType({item.key: item.default for item in RATE_ITEMS}),
        currency=currency,
        valid_from=SHIPPED_FROM,
        tax=Tax(regime="standard", percent=Decimal(19), valid_from=SHIPPED_FROM),
        source="shipped",
    )


def rates_from(
    values: Mapping[str, Decimal],
    *,
    currency: str,
    valid_from: dt.date,
    tax: Tax | None,
) -> Rates:
    """Return a shop's own rates; nothing it lacks is filled in from elsewhere."""
    return Rates(
        values=MappingProxyType(dict(values)),
        currency=currency,
        valid_from=valid_from,
        tax=tax,
    )


def overridden(rates: Rates, values: Mapping[str, Decimal]) -> Rates:
    """Return rates with some values replaced, for one job only.

    Hours told for one job count for it, whatever was learned of their row.

    >>> overridden(shipped_rates(), {"labour": Decimal(62)}).overridden
    ('labour',)
    """
    told = {
        row for row in rates.learned for one in POINTS if hours_key(row, one) in values
    }
    learned = {row: one for row, one in rates.learned.items() if row not in told}
    return replace(
        rates,
        values=MappingProxyType({**rates.values, **values}),
        overridden=tuple(values),
        learned=MappingProxyType(learned),
    )
