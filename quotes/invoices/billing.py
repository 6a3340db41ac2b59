"""What an order bills: the quote that was accepted, as it is taxed on a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as translate

from billets.physics.errors import _
from quotes.changes_after.agreed import begun_again, last_begun
from quotes.errors import QuoteError
from quotes.invoices.amounts import Asked, Bill, billed
from quotes.invoices.before import Before as Before
from quotes.invoices.before import before_of as before_of
from quotes.invoices.entries import (
    Entry,
    Reading,
    quoted_entries,
    reading_of,
    with_changes,
)
from quotes.invoices.said import asked_for
from quotes.models import Quote
from quotes.money import ZERO
from quotes.offer.frozen import Offer, kept_offer
from quotes.rates import REGIMES
from quotes.sums import Mode
from shop.models import AgreedChange, Order, TaxSetting
from shop.settled import cancellation


def accepted_quote(order: Order) -> Quote:
    """Return the quote the customer said yes to; QuoteError before there is a yes."""
    known = Quote.objects.filter(order=order, answer__accepted=True)
    known = known.select_related("answer__option").prefetch_related("lines", "options")
    quote = known.order_by("-revision").first()
    if quote is None:
        raise QuoteError(
            _("An invoice needs a yes: have a quote accepted and write the answer "
              "down first."), field="order",
        )  # fmt: skip
    return quote


@dataclass(frozen=True, slots=True, kw_only=True)
class Billing:
    """What there is to bill for an order.

    Attributes
    ----------
    order, quote, offer
        Whose it is, and what was accepted, as it was said.
    regime, currency : str
        How it is taxed, and in what it is paid.
    changes : tuple of AgreedChange
        What was agreed after the yes.
    again : mapping of str to str
        Which knife was begun in the place of a lost one.
    cancelled : frozenset of str
        Numbers of knives that are not made any more; they are not billed.
    """

    order: Order
    quote: Quote
    offer: Offer
    regime: str
    currency: str
    changes: tuple[AgreedChange, ...]
    again: Mapping[str, str]
    cancelled: frozenset[str]

    def bill_on(self, day: dt.date) -> Bill:
        """Return the whole bill at the rate of tax in force on a day."""
        return self.bill_at(self.percent_on(day))

    @property
    def gross(self) -> Decimal:
        """What it all comes to at the quote's own rate; zero if nothing is left."""
        amounts = [Asked(label="", amount=one.amount) for one in self.entries]
        if not amounts:
            return ZERO
        return billed(amounts, self.mode, self.regime, self.currency).gross

    @property
    def entries(self) -> list[Entry]:
        """What is billed, amount by amount, at the rates of the quote."""
        quoted = quoted_entries(self.quote, self.offer, self.cancelled)
        return with_changes(quoted, self.changes, self.cancelled, self.reading)

    @property
    def asked(self) -> list[Asked]:
        """What is billed as the customer reads it, at the rates of the quote.

        In the language spoken; the knives as they are agreed now.
        """
        return asked_for(self.entries, self.order, self.quote, self.again)

    def bill_at(self, percent: Decimal) -> Bill:
        """Return the whole bill with another rate in the place of the quote's own."""
        usual = self.offer.tax_rate
        asked = [
            replace(one, amount=replace(one.amount, percent=percent))
            if one.amount.percent == usual else one
            for one in self.asked
        ]  # fmt: skip
        return billed(asked, self.mode, self.regime, self.currency)

    @property
    def reading(self) -> Reading:
        """How amounts are read."""
        return reading_of(self.offer)

    @property
    def mode(self) -> Mode:
        """How amounts are read; quotes without both sides go by their net total."""
        return self.reading.mode

    def percent_on(self, day: dt.date) -> Decimal:
        """Return the usual rate on a day; QuoteError if the shop's regime changed.

        What counts is the rate on the day of delivery, not that of the quote (German
        turnover tax act, section 27 (1); quoted from memory, verify).
        """
        setting = TaxSetting.objects.on(day)
        now = setting.regime if setting else self.regime
        if self.regime == "export" or now == self.regime == "small":
            return self.offer.tax_rate
        if now != self.regime:
            raise QuoteError(
                _("On {day} the shop is not taxed as it was in the accepted quote: "
                  "put the tax settings right, or ask your adviser before you write "
                  "this invoice."), field="tax_regime", day=day,
            )  # fmt: skip
        return setting.rate if setting else self.offer.tax_rate

    def reason_on(self, day: dt.date) -> str:
        """Return why there is no tax, in the language spoken; of taxed ones nothing."""
        if REGIMES[self.regime].taxed:
            return ""
        setting = TaxSetting.objects.on(day)
        own = setting.note if setting and setting.regime == self.regime else ""
        return own or translate(REGIMES[self.regime].note)


def billing_of(order: Order) -> Billing:
    """Return what there is to bill for an order; QuoteError before the yes."""
    quote = accepted_quote(order)
    changes = AgreedChange.objects.filter(order=order, state="agreed")
    again = begun_again(order)
    return Billing(
        order=order,
        quote=quote,
        offer=kept_offer(quote),
        regime=_regime_of(quote),
        currency=quote.currency,
        changes=tuple(changes.select_related("knife").order_by("pk")),
        again=again,
        cancelled=_cancelled(order, again),
    )


def _cancelled(order: Order, again: Mapping[str, str]) -> frozenset[str]:
    """Return the knives not made any more, lost ones too that are not made again."""
    stands = dict(order.knives.order_by("pk").values_list("serial", "stage"))
    over = ("cancelled", "scrapped") if cancellation(order) else ("cancelled",)
    return frozenset(one for one in stands if stands[last_begun(one, again)] in over)


def _regime_of(quote: Quote) -> str:
    """Return how a quote is taxed; old ones without tax kept no regime."""
    if quote.taxes or quote.tax_rate:
        return quote.regime
    setting = TaxSetting.objects.on(timezone.localdate(quote.issued_at))
    return setting.regime if setting else quote.regime
