"""What it costs, as a private page says it: as quoted, after the yes as billed now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.invoices.amounts import Asked, Bill
from quotes.invoices.billing import Billing, billing_of
from quotes.money import TaxSum
from quotes.offer.frozen import Offer, OfferLine
from quotes.offer.price_table import PriceRow, PriceTable, price_table
from quotes.private.case import Case
from quotes.wording import long_day, money_text
from shop.models import AgreedChange, Order


def prices_shown(case: Case) -> PriceTable | None:
    """Return what it costs; None where nothing is left to pay for."""
    if not case.is_ordered:
        return price_table(case.offer, case.shop.units)
    billing = billing_of(case.order)
    lines = billing.asked
    if not lines:
        return None
    if case.state == "cancelled":
        return _as_kept(case)
    bill = _bill_now(billing, case.order)
    return price_table(_as_billed(billing, lines, bill), case.shop.units)


def _bill_now(billing: Billing, order: Order) -> Bill:
    """Return the bill as its final invoice has it, before that at the quote's rate."""
    final = order.invoices.filter(kind="final", cancelled_by__isnull=True).first()
    if final is None or final.supplied_on is None:
        return billing.bill_at(billing.offer.tax_rate)
    return billing.bill_on(final.supplied_on)


def _as_kept(case: Case) -> PriceTable:
    """Return what is kept of a cancelled order; of tax in it nothing is said.

    Whether money that is kept is taxed is a question for the adviser.
    """
    amount = money_text(case.order.agreed or Decimal(0), case.offer.currency)
    kept = PriceRow(label=_("Kept by the shop"), amount=amount, main=True)
    return PriceTable(
        heading=_("Amount"), lines=(), sums=(kept,), options=(), options_heading=""
    )


def _as_billed(billing: Billing, lines: Iterable[Asked], bill: Bill) -> Offer:
    """Return an offer that says what the final invoice would say today."""
    return replace(
        billing.offer, mode=billing.mode, net=bill.net, tax=bill.tax, total=bill.gross,
        taxes=tuple(
            TaxSum(percent=one.percent, base=one.base, tax=one.tax)
            for one in bill.taxes
        ),
        lines=tuple(_line(one) for one in lines),
        options=(),
    )  # fmt: skip


def _line(one: Asked) -> OfferLine:
    amount = one.amount.amount
    return OfferLine(
        label=one.label, detail="", percent=one.amount.percent,
        amount=-amount if one.amount.kind == "allowance" else amount,
    )  # fmt: skip


def options_to_choose(case: Case) -> tuple[tuple[str, str], ...]:
    """Return what a yes chooses from: place and words."""
    offer = case.offer
    return tuple(
        (str(place), f"{one.label}: {money_text(one.amount, offer.currency)}")
        for place, one in enumerate(offer.options, start=1)
    )


# --- what was changed since -------------------------------------------------------


def changed_since_yes(order: Order, currency: str) -> tuple[str, ...]:
    """Return what was agreed after the yes, and when; cancelling is told apart."""
    rows = [one for one in order.changes.all() if one.state == "agreed"]
    told = [one for one in rows if one.knife_id is not None]
    if not told:
        return ()
    said = [_change(one, currency) for one in told]
    if len(told) < len(rows):
        return tuple(said)
    now = _("To be paid in all, with that: {amount}.").format(
        amount=money_text(order.agreed or Decimal(0), currency)
    )
    return (*said, now)


def _change(one: AgreedChange, currency: str) -> str:
    day = long_day(timezone.localdate(one.answered_at or one.made_at))
    told = [f"{label}: {was} → {now}" for label, was, now in one.values.get("told", ())]
    said = _("Changed after your yes, agreed on {day}: {what}. It comes to {amount}.")
    return said.format(
        day=day, what="; ".join(told) or one.wish.rstrip(" ."),
        amount=money_text(one.more + one.fee, currency),
    )  # fmt: skip
