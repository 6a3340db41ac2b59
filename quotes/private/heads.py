"""The head of a private page: what it is, how it stands, the facts."""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.offer.price_table import reading_text
from quotes.private.case import Case, last_day
from quotes.wording import long_day, money_text
from shop import weeks

Facts = tuple[tuple[str, str], ...]


def title_of(case: Case) -> str:
    """Name the page after the quote, or the order it has become."""
    named = _("Order {number}") if case.is_ordered else _("Quote {number}")
    return named.format(number=case.order.number)


def said_of(case: Case) -> str:
    """Say in a sentence how it stands."""
    if case.state == "cancelled":
        return _cancelled(case)
    if case.state == "delivered":
        return _delivered(case)
    if case.answer:
        return _answered(case)
    return _waiting(case)


def _answered(case: Case) -> str:
    taken = case.answer.option if case.answer else None
    said = (
        _("Accepted on {day}. Thank you: it is written down.")
        if case.state == "accepted"
        else _("Declined on {day}. Ask below if you change your mind.")
    )
    return said.format(day=_answer_day(case)) + (f" {taken.label}." if taken else "")


def _answer_day(case: Case) -> str:
    at = case.answer.at if case.answer else case.quote.issued_at
    return long_day(timezone.localdate(at))


def _cancelled(case: Case) -> str:
    day = last_day(case, "cancelled")
    if day is None:
        return _("Cancelled; nothing more is made.")
    return _("Cancelled on {day}; nothing more is made.").format(day=long_day(day))


def _delivered(case: Case) -> str:
    day, gone = last_day(case, "delivered"), last_day(case, "cancelled")
    said = _("Handed over. Thank you; how to look after it stands below.")
    if day:
        said = _(
            "Handed over on {day}. Thank you; how to look after it stands below."
        ).format(day=long_day(day))
    if gone:
        rest = _("What was not made by then was cancelled on {day}.")
        said = f"{said} {rest.format(day=long_day(gone))}"
    return said


def _waiting(case: Case) -> str:
    until = long_day(case.quote.valid_until)
    gone = last_day(case, "cancelled") if case.state == "closed" else None
    if gone:
        said = _("The shop has closed this order on {day}; nothing can be answered.")
        return said.format(day=long_day(gone))
    return {
        "open": _("It stands until {day}. Read it, then answer at the end."),
        "run_out": _("It ran out on {day}. Ask the shop below whether it still "
                     "stands."),
        "closed": _("The shop has closed this order; nothing can be answered."),
    }[case.state].format(day=until)  # fmt: skip


def facts_of(case: Case) -> Facts:
    """Return the head of the page; of the customer the initials only."""
    whom = (_("For"), case.order.customer.initials)
    if case.is_ordered:
        ordered = (_("Ordered on"), _answer_day(case))
        return (whom, ordered) if case.is_over else (whom, ordered, _promised(case))
    quote = case.quote
    return (
        whom,
        (_("Revision"), str(quote.revision)),
        (_("Date"), long_day(timezone.localdate(quote.issued_at))),
        (_("Holds until"), long_day(quote.valid_until)),
        _promised(case),
    )


def price_of(case: Case) -> tuple[str, str] | tuple[()]:
    """Return the price and how it is read; where there are several, none stands out."""
    offer = case.offer
    if case.is_ordered or offer.options:
        return ()
    return money_text(offer.read, offer.currency), reading_text(offer)


def _promised(case: Case) -> tuple[str, str]:
    week = case.order.promised_week
    nothing = _("not promised yet; ask the shop")
    return _("Promised"), weeks.in_words(week) if week else nothing
