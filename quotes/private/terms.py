"""The words of a quote on its private page: whatever the paper prints of terms."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quotes import texts
from quotes.offer.beside import (
    Part,
    delivery_part,
    deposit_part,
    notes,
    tax_part,
)
from quotes.private.case import Case

Terms = tuple[tuple[str, str], ...]


def kind_shown(case: Case) -> str:
    """Say whether the price binds; of what is over nothing."""
    if case.is_over or not case.offer.kind:
        return ""
    return texts.text(case.offer.kind, case.beside.day)


def parts_shown(case: Case) -> tuple[Part, ...]:
    """Return what is said of tax, deposit and delivery, as far as it is still to come.

    After the yes money and promised week stand at the head of the page.
    """
    if case.state == "cancelled":
        return ()  # what tax is in money that is kept is not the quote's to say
    tax = tax_part(case.offer, case.beside)
    if case.is_over:
        return (tax,)
    heading, delivery = delivery_part(case.beside)
    if case.is_ordered:
        return tax, (heading, delivery[1:])
    return tax, _deposit(case), (heading, delivery)


def _deposit(case: Case) -> Part:
    heading, said = deposit_part(case.offer, case.beside)
    if not any(one.deposit for one in case.offer.options):
        return heading, said
    by_option = _(
        "What is paid first goes by what you choose; it stands beside each. It buys "
        "the steel and your place in the queue. The balance is due before handing over."
    )
    return heading, [by_option]


def terms_shown(case: Case) -> Terms:
    """Return terms, care, law and what cancelling costs, as the paper has them.

    Of what is over the care stands apart, or is of no use any more.
    """
    said = notes(case.beside)
    return tuple(one for one in said if one[0] != _care()) if case.is_over else said


def care_shown(case: Case) -> tuple[str, str] | tuple[()]:
    """Return how to look after a knife that was handed over."""
    if case.state != "delivered":
        return ()
    return _care(), texts.text("care", case.beside.day)


def _care() -> str:
    return texts.heading("care")
