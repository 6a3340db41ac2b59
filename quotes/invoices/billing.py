"""What an order bills: the quote that was accepted, as it is taxed on a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from babel.dates import format_date
from django.utils import timezone
from django.utils.translation import gettext as translate

from billets.messages import spoken
from billets.physics.errors import _
from billets.units import locale_of
from quotes.changes_after.agreed import begun_again
from quotes.errors import QuoteError
from quotes.invoices.amounts import Asked, Bill, RateSum, billed
from quotes.models import Invoice, Quote
from quotes.money import ZERO, from_gross, money, tax_sums, total
from quotes.offer.frozen import Offer, OfferLine, kept_offer
from quotes.rates import REGIMES
from quotes.sums import Amount, Mode, share_out
from shop.models import AgreedChange, Knife, Order, Payment, TaxSetting

KINDS: Mapping[str, Literal["line", "allowance", "charge"]] = {
    "knife": "line", "extra": "line", "charge": "charge", "discount": "allowance",
}  # fmt: skip
"""Kinds of a quote's lines as kinds of an invoice's."""


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
    quote, offer
        What was accepted, as it was said.
    regime, currency : str
        How it is taxed, and in what it is paid.
    changes : tuple of AgreedChange
        What was agreed after the yes.
    cancelled : frozenset of str
        Numbers of knives that are not made any more; they are not billed.
    """

    quote: Quote
    offer: Offer
    regime: str
    currency: str
    changes: tuple[AgreedChange, ...]
    cancelled: frozenset[str]

    def bill_on(self, day: dt.date) -> Bill:
        """Return the whole bill at the rate of tax in force on a day."""
        return self.bill_at(self.percent_on(day))

    @property
    def gross(self) -> Decimal:
        """What it all comes to at the quote's own rate; zero if nothing is left."""
        if not self.asked:
            return ZERO
        return self.bill_at(self.offer.tax_rate).gross

    @property
    def asked(self) -> list[Asked]:
        """What is billed as the customer reads it, at the rates of the quote."""
        return _changed(self, _quoted(self))

    def bill_at(self, percent: Decimal) -> Bill:
        """Return the whole bill with another rate in the place of the quote's own."""
        asked = [
            Asked(label=one.label, detail=one.detail, amount=Amount(
                kind=one.amount.kind, amount=one.amount.amount,
                percent=percent if one.amount.percent == self.offer.tax_rate
                else one.amount.percent,
            ))
            for one in self.asked
        ]  # fmt: skip
        return billed(asked, self.mode, self.regime, self.currency)

    @property
    def mode(self) -> Mode:
        """How amounts are read; quotes without both sides go by their net total."""
        return self.offer.mode if _two_sided(self.offer) else "net"

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
    return Billing(
        quote=quote,
        offer=kept_offer(quote),
        regime=_regime_of(quote),
        currency=quote.currency,
        changes=tuple(changes.select_related("knife").order_by("pk")),
        cancelled=_cancelled(order),
    )


def _cancelled(order: Order) -> frozenset[str]:
    """Return the knives not made any more, lost ones too that are not made again."""
    rows = Knife.objects.filter(order=order)
    gone = set(rows.filter(stage="cancelled").values_list("serial", flat=True))
    again = begun_again(order)
    lost = {one for one, later in again.items() if later in gone}
    if order.changes.filter(knife=None, state="agreed").exists():
        scrapped = rows.filter(stage="scrapped").values_list("serial", flat=True)
        lost |= set(scrapped) - set(again)
    return frozenset(gone | lost)


def _regime_of(quote: Quote) -> str:
    """Return how a quote is taxed; old ones without tax kept no regime."""
    if quote.taxes or quote.tax_rate:
        return quote.regime
    setting = TaxSetting.objects.on(timezone.localdate(quote.issued_at))
    return setting.regime if setting else quote.regime


# --- lines ------------------------------------------------------------------------


def _two_sided(offer: Offer) -> bool:
    return all(one.percent is not None for one in offer.lines)


def _quoted(billing: Billing) -> list[Asked]:
    """Return the lines of the quote, with the option that was taken.

    What an option costs more or less is its knife's. Of a discount on the knives the
    share of knives that were cancelled falls away with them.
    """
    pairs = list(zip(billing.offer.lines, _reads(billing), strict=True))
    left = [pair for pair in pairs if pair[0].serial not in billing.cancelled]
    if all(line.kind != "knife" for line, _read in left):
        return []
    share = _of_knives(left) / (_of_knives(pairs) or Decimal(1))
    return [
        _asked(line, read * share if line.kind == "discount" else read, billing)
        for line, read in left
    ]


def _of_knives(pairs: Iterable[tuple[OfferLine, Decimal]]) -> Decimal:
    return total(read for line, read in pairs if line.kind == "knife")


def _reads(billing: Billing) -> list[Decimal]:
    """Return the lines' amounts as they are read, the option's in its knife's."""
    quote, offer = billing.quote, billing.offer
    reads = [one.amount for one in offer.lines]
    if not _two_sided(offer):
        return share_out(reads, offer.net, offer.currency)
    option = quote.answer.option
    if option is not None:
        serials = [one.serial for one in offer.lines]
        place = serials.index(option.serial)
        reads[place] += option.amount - offer.read
    return reads


def _asked(line: OfferLine, read: Decimal, billing: Billing) -> Asked:
    offer, option = billing.offer, billing.quote.answer.option
    detail = line.detail
    if option is not None and line.serial and line.serial == option.serial:
        taken = f"{option.label} ({option.detail})" if option.detail else option.label
        said = translate("As chosen: {option}").format(option=taken)
        detail = f"{detail}\n{said}" if detail else said
    return Asked(
        label=(f"{line.label}, {line.serial}" if line.serial else line.label)[:200],
        detail=detail,
        amount=Amount(
            kind=KINDS[line.kind],
            amount=money(abs(read), offer.currency),
            percent=offer.tax_rate if line.percent is None else line.percent,
        ),
    )


def _changed(billing: Billing, lines: list[Asked]) -> list[Asked]:
    """Return the lines with what was agreed after the yes, in the quote's reading.

    A cancellation says what is kept in all: its line is whatever is left to that, and
    changes before it of knives not made any more are in it. Elsewhere only the fee is
    left of those.
    """
    last = next((one for one in reversed(billing.changes) if one.knife is None), None)
    after = last is None
    for one in billing.changes:
        if one == last:
            after, read = True, _to_whole(lines, one.fee, billing)
        elif one.knife is None:
            continue
        elif one.knife.serial not in billing.cancelled:
            read = _added(lines, one.more + one.fee, billing)
        else:
            read = _added(lines, one.fee, billing) if after else ZERO
        if read:
            lines = [*lines, _change(one, read, billing)]
    return lines


def _added(lines: Iterable[Asked], gross: Decimal, billing: Billing) -> Decimal:
    """Return what a line reads with which all comes to so much more."""
    return _to_whole(lines, _gross_of(lines, billing)[0] + gross, billing)


def _to_whole(lines: Iterable[Asked], gross: Decimal, billing: Billing) -> Decimal:
    """Return what a line reads with which all comes to a total, tax included.

    Before tax not every total can be met to the cent; then it is the nearest.
    """
    now, read, other = _gross_of(lines, billing)
    gross = money(gross, billing.currency)
    if billing.mode == "gross":
        return gross - now
    percent = billing.offer.tax_rate
    return from_gross(gross - other, percent, billing.currency).net - read


def _gross_of(
    lines: Iterable[Asked], billing: Billing
) -> tuple[Decimal, Decimal, Decimal]:
    """Return what lines come to, what those at the usual rate read, the rest's gross.

    Read with tax in them, lines of all rates are added up alike.
    """
    reads = [
        (-one.amount.amount if one.amount.kind == "allowance" else one.amount.amount,
         one.amount.percent)
        for one in lines
    ]  # fmt: skip
    if billing.mode == "gross":
        whole = total(read for read, _percent in reads)
        return whole, whole, ZERO
    usual = billing.offer.tax_rate
    rates = tax_sums(reads, billing.currency)
    own = total(one.base for one in rates if one.percent == usual)
    other = total(one.base + one.tax for one in rates if one.percent != usual)
    return total(one.base + one.tax for one in rates), own, other


def _change(one: AgreedChange, read: Decimal, billing: Billing) -> Asked:
    day = timezone.localdate(one.answered_at or one.made_at)
    said = translate("Change agreed on {day}")
    if one.knife is None:
        said = translate("Kept for what was cancelled on {day}")
    return Asked(
        label=said.format(day=format_date(day, "long", locale=locale_of(spoken()))),
        detail=one.wish if one.knife else "",
        amount=Amount(
            kind="line" if read > 0 else "allowance", amount=abs(read),
            percent=billing.offer.tax_rate,
        ),
    )  # fmt: skip


# --- what was paid and billed before ----------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """Payments and invoices of an order that stand.

    Attributes
    ----------
    advances : tuple of Invoice
        Advance invoices that were not cancelled.
    final : Invoice or None
        The final invoice, if one stands.
    unbilled : tuple of Payment
        Payments without an advance invoice.
    unpaid : tuple of Invoice
        Advance invoices whose payment was taken back.
    """

    advances: tuple[Invoice, ...]
    final: Invoice | None
    unbilled: tuple[Payment, ...]
    unpaid: tuple[Invoice, ...]

    @property
    def rates(self) -> list[RateSum]:
        """Return the advances rate by rate."""
        return [part for one in self.advances for part in kept_rates(one)]


def before_of(order: Order) -> Before:
    """Return what was paid and billed for an order.

    A payment and its advance invoice have the same amount and day; two such payments
    are alike in all an invoice says.
    """
    standing = Invoice.objects.filter(order=order, cancelled_by__isnull=True)
    advances = list(standing.filter(kind="advance").order_by("pk"))
    payments = Payment.objects.filter(order=order, taken_back=None)
    unbilled, unpaid = _unmatched(payments.order_by("received_on", "pk"), advances)
    return Before(
        advances=tuple(advances), final=standing.filter(kind="final").first(),
        unbilled=tuple(unbilled), unpaid=tuple(unpaid),
    )  # fmt: skip


def _unmatched(
    payments: Iterable[Payment], advances: Sequence[Invoice]
) -> tuple[list[Payment], list[Invoice]]:
    left, without = list(advances), []
    for payment in payments:
        own = (payment.amount, payment.received_on)
        found = next((x for x in left if (x.gross, x.supplied_on) == own), None)
        if found is None:
            without.append(payment)
        else:
            left.remove(found)
    return without, left


def kept_rates(invoice: Invoice) -> tuple[RateSum, ...]:
    """Return base and tax by rate of an issued invoice."""
    return tuple(
        RateSum(
            percent=Decimal(one["percent"]), category=one["category"],
            base=Decimal(one["base"]), tax=Decimal(one["tax"]),
        )
        for one in invoice.taxes["rates"]
    )  # fmt: skip


def received_before(before: Before) -> Decimal:
    """Return what was received without an advance invoice."""
    return total(one.amount for one in before.unbilled)
