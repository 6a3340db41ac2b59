"""A price as an offer to a customer: the amounts, and the words that go with them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from babel.dates import format_date
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import System, locale_of
from quotes.price import Price
from quotes.pricing import PricedOrder, plan_of
from quotes.rates import REGIMES
from quotes.services import Offer, OfferLine
from quotes.specification import Specified, spec_sentences, specification
from quotes.wording import money_text, percent_text
from shop import weeks
from shop.models import Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """When a quote is issued, and how long it holds."""

    issued_at: dt.datetime
    valid_until: dt.date


def specified(priced: PricedOrder) -> list[Specified]:
    """Return the knives of an order, each with its billet."""
    return [
        Specified(knife=knife, result=result, figures=priced.plans[plan_of(knife).pk])
        for knife, result in priced.knives
    ]


def offer_of(priced: PricedOrder, revision: int, dates: Dates, system: System) -> Offer:
    """Return the offer of a price, in the language that is spoken."""
    price = priced.lines.price
    return Offer(
        revision=revision,
        issued_at=dates.issued_at,
        valid_until=dates.valid_until,
        currency=priced.lines.currency,
        net=price.net,
        tax_rate=tax_percent(price),
        tax=price.whole.tax,
        total=price.whole.gross,
        deposit=price.deposit.gross,
        lines=tuple(
            OfferLine(
                label=one.knife.name,
                detail=spec_sentences(specification(one, system)),
                amount=share.gross,
            )
            for one, share in zip(specified(priced), priced.lines.knives, strict=True)
        ),
    )


def tax_percent(price: Price) -> Decimal:
    """Return the rate of tax in a price; every line of it is taxed at the same one."""
    return price.taxes[0].percent


# --- sentences -------------------------------------------------------------------


def tax_sentences(price: Price, currency: str) -> list[str]:
    """Say which tax a price holds, or why it holds none, and how it was rounded."""
    known = {regime.note for regime in REGIMES.values()}
    said = [_(price.note) if price.note in known else price.note]
    if price.whole.tax:
        holds = _("The total holds {tax} of tax at {rate}; without it, it is {net}.")
        tax, net = (money_text(one, currency) for one in (price.whole.tax, price.net))
        rate = percent_text(tax_percent(price))
        said.insert(0, holds.format(tax=tax, rate=rate, net=net))
    rounding = _(
        "Every amount is rounded to the smallest coin, halves up; the prices of the "
        "knives add up to the total."
    )
    return [*said, rounding]


def deposit_sentences(price: Price, currency: str) -> list[str]:
    """Say what is paid first, what it is for, and when the rest is due."""
    if not price.deposit.gross:
        return [_("No deposit is asked for; the price is due before handing over.")]
    deposit = money_text(price.deposit.gross, currency)
    asked = _("A deposit of {deposit} is due when you accept.").format(deposit=deposit)
    if price.deposit.tax:
        asked = _(
            "A deposit of {deposit} is due when you accept, {tax} of it tax."
        ).format(deposit=deposit, tax=money_text(price.deposit.tax, currency))
    rest = _(
        "It buys the steel and your place in the queue. The balance of {rest} is due "
        "before handing over."
    ).format(rest=money_text(price.final.gross, currency))
    return [asked, rest]


def next_sentences(valid_until: dt.date) -> list[str]:
    """Say what the customer does now, and what the shop does then."""
    return [
        _(
            "The price is fixed until {day}. Say yes by then, by telephone, mail or "
            "letter, and name the number of this quote."
        ).format(day=long_day(valid_until)),
        _("When the deposit is here your steel is bought and the forging is planned."),
    ]


def delivery_sentence(order: Order) -> str:
    """Say which week is promised."""
    if order.promised_week is None:
        return _("The week of delivery is agreed when you accept.")
    week = weeks.in_words(order.promised_week)
    return _("Promised for {week}, if you accept in time.").format(week=week)


def long_day(day: dt.date) -> str:
    """Write a day in full: 2 March 2026."""
    return format_date(day, "long", locale=locale_of(spoken()))
