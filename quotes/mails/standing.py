"""How an order stands, as a message tells it: what was said yes to, kept, handed over.

After the yes a quote is no offer any more, and after the handing over, or once it is
cancelled, nothing is finished or handed over later.
"""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.changes_after.agreed import answer_of
from quotes.mails.texts import (
    AGREE_ON_THE_WAY,
    CANCELLED,
    CHANGED_SINCE,
    GOES_BACK,
    HANDED_OVER,
    NOTHING_OPEN,
    PAID,
    SENT_NEXT,
    SENT_ONCE_PAID,
    UNKNOWN,
)
from quotes.models import Quote, QuoteAnswer
from quotes.pay.asked_for import sentences
from quotes.wording import money_text
from shop import payments, stages
from shop.models import Knife, Order, StageEvent
from shop.settled import cancellation
from shop.templatetags.shop_words import day, names_of


def answered(order: Order) -> QuoteAnswer | None:
    """Return the yes of an order, else the no to its last quote; None before either."""
    yes = answer_of(order)
    if yes is not None:
        return yes
    return QuoteAnswer.objects.filter(quote=_last(order), accepted=False).first()


def _last(order: Order) -> Quote | None:
    return order.quotes.order_by("-revision").first()


def text_key(order: Order, kind: str) -> str:
    """Return which text a message of a kind has, as its order stands."""
    if kind == "quote" and answer_of(order) is not None:
        return "quote accepted"
    if kind == "balance" and order.state in payments.OVER:
        return f"balance {order.state}"
    return kind


# --- knives -----------------------------------------------------------------------


def knives_named(order: Order, kind: str, knives: list[Knife]) -> str:
    """Return the names of an order's knives; beside a quote those that stand in it.

    Where none is made any more, of all of them.
    """
    quoted = _quoted_names(order) if kind == "quote" else ""
    every = ", ".join(one.name for one in knives)
    return quoted or names_of(knives) or every or UNKNOWN


def _quoted_names(order: Order) -> str:
    yes = answer_of(order)
    quote = yes.quote if yes else _last(order)
    if quote is None:
        return ""
    return ", ".join(one.label for one in quote.lines.all() if one.kind == "knife")


# --- sentences --------------------------------------------------------------------


def told(order: Order) -> str:
    """Say what became of an order whose work is over; nothing of any other."""
    if order.state not in payments.OVER:
        return ""
    if cancellation(order) is not None:
        return sentences(order, "balance", payments.currency_of(order))[0]
    if order.state == "cancelled":
        return _(CANCELLED).format(number=order.number)
    return _(HANDED_OVER).format(
        number=order.number, knives=names_of(order.knives.all()) or UNKNOWN,
        day=_handed_over(order),
    )  # fmt: skip


def _handed_over(order: Order) -> str:
    moves = StageEvent.objects.filter(knife__order=order, stage=payments.DELIVERED)
    last = moves.order_by("pk").last()
    return day(timezone.localdate(last.at)) if last else UNKNOWN


def settled_words(order: Order) -> str:
    """Say that nothing is to be paid, or what goes back; a gap where it is not known.

    A cancelled order owes what was settled with it; where nothing was, nobody knows.
    """
    left = payments.balance(order)
    if order.state == "cancelled" and cancellation(order) is None:
        nothing = order.agreed is None and not payments.received(order)
        return _(NOTHING_OPEN) if nothing else UNKNOWN
    if left < 0:
        back = money_text(-left, payments.currency_of(order))
        return _(GOES_BACK).format(back=back)
    said = NOTHING_OPEN if order.state == "cancelled" else PAID
    return _(said)


def owes_unsettled(order: Order) -> bool:
    """Say whether an order was cancelled without anybody saying what is kept of it."""
    return order.state == "cancelled" and cancellation(order) is None


def way_to_customer(order: Order) -> str:
    """Say how the knife comes to its customer: sent where the quote charges for it."""
    yes = answer_of(order)
    if yes is None or not is_sent(yes.quote):
        return _(AGREE_ON_THE_WAY)
    return _(SENT_ONCE_PAID if payments.balance(order) > 0 else SENT_NEXT)


def is_sent(quote: Quote) -> bool:
    """Say whether a quote charges for sending."""
    lines = quote.basis.get("words", {}).get("lines", ())
    return any(one.startswith("shipping:") for one in lines)


def since_then(order: Order) -> str:
    """Say that more was agreed on after the yes, if it was."""
    more = order.changes.filter(state="agreed").exists()
    return _(CHANGED_SINCE) if more else ""


def accepted_says(order: Order) -> tuple[str, str]:
    """Return the sum that was said yes to, and the day of the yes."""
    yes = answer_of(order)
    if yes is None:
        return UNKNOWN, UNKNOWN
    quote, option = yes.quote, yes.option
    read = quote.net if quote.mode == "net" else quote.total
    amount = option.amount if option else read
    text = money_text(amount, quote.currency)
    if quote.mode == "net":
        text = _("{total} before tax").format(total=text)
    return text, day(timezone.localdate(yes.at))


def stage_rows(knives: list[Knife]) -> list[Knife]:
    """Return the knives that are made; where none is, all of them."""
    return [one for one in knives if one.stage not in stages.EXITS] or knives
