"""What an invoice says in words and numbers, in the language that is spoken."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from billets.messages import sentence
from billets.text import in_fours
from billets.units import System
from quotes.errors import QuoteError
from quotes.invoices.amounts import Bill, BillLine, RateSum
from quotes.invoices.drafts import Draft
from quotes.money import Taxed
from quotes.offer.price_table import PriceRow
from quotes.rates import REGIMES
from quotes.wording import MINUS, long_day, money_text, number_text, percent_text


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line as it is printed; its detail in paragraphs."""

    place: str
    label: str
    detail: tuple[str, ...]
    quantity: str
    percent: str
    net: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRow:
    """One advance that is taken off, or a sum of it."""

    label: str
    net: str
    tax: str
    gross: str
    main: bool = False


def title_of(draft: Draft, number: str) -> str:
    """Name the paper with its number."""
    names = {
        "advance": _("Advance invoice {number}"),
        "final": _("Invoice {number}"),
        "cancel": _("Cancelling document {number}"),
    }
    return names[draft.kind].format(number=number)


def about(draft: Draft) -> str:
    """Say what the paper is, where its title does not."""
    if draft.kind == "advance":
        return _(
            "This is an invoice over an advance: a payment received before the supply. "
            "The invoice after the supply takes it off, with its tax."
        )
    if draft.cancels is not None:
        return _(
            "This cancels invoice {number} of {day} in full; every amount of it is "
            "taken back."
        ).format(
            number=draft.cancels.number, day=long_day(draft.cancels.issued_on)
        )  # fmt: skip
    return ""


def facts(draft: Draft, number: str) -> tuple[tuple[str, str], ...]:
    """Return the head of the paper: numbers and days."""
    known = [(_("Number"), number), (_("Date"), long_day(draft.issued_on))]
    if draft.kind == "final":
        known.append((_("Date of supply"), long_day(draft.supplied_on)))
    if draft.kind == "advance":
        known.append((_("Payment received"), long_day(draft.supplied_on)))
    if draft.cancels is not None:
        known.append((_("Cancels"), draft.cancels.number))
    return (*known, (_("Order"), draft.order.number))


def line_rows(draft: Draft) -> tuple[LineRow, ...]:
    """Return the lines, what is taken off and charges, with what is before tax."""
    return tuple(
        _line(place, one, draft) for place, one in enumerate(draft.bill.lines, start=1)
    )


def _line(place: int, one: BillLine, draft: Draft) -> LineRow:
    counted = one.kind == "line" and draft.kind != "advance"
    count = number_text(one.quantity.normalize() + 0).replace("-", MINUS)
    pieces = _("{count} pc.").format(count=count)
    return LineRow(
        place=str(place),
        label=one.label,
        detail=_paragraphs(one, draft),
        quantity=pieces if counted else "",
        percent=percent_text(one.percent) if taxed(draft.bill) else "",
        net=money_text(one.net, draft.currency),
    )


def _paragraphs(one: BillLine, draft: Draft) -> tuple[str, ...]:
    """Return what a line says in detail; an advance says one thing a paragraph."""
    rows = one.detail.splitlines()
    of = draft.cancels.kind if draft.cancels else draft.kind
    return tuple(rows) if of == "advance" else tuple(filter(None, ["; ".join(rows)]))


def taxed(bill: Bill) -> bool:
    """Say whether a bill shows tax; a rate of nothing that is no exemption counts."""
    return any(one.category in ("S", "Z") for one in bill.taxes)


def sum_rows(draft: Draft) -> tuple[PriceRow, ...]:
    """Return what the lines add up to, tax by rate, and the total."""
    bill, currency = draft.bill, draft.currency
    whole = PriceRow(
        label=_("Total"), amount=money_text(bill.gross, currency), main=True
    )
    if not taxed(bill):
        return (whole,)
    before = PriceRow(
        label=_("Total before tax"), amount=money_text(bill.net, currency)
    )
    return (before, *(_tax(one, currency) for one in bill.taxes), whole)


def _tax(one: RateSum, currency: str) -> PriceRow:
    return PriceRow(
        label=_("tax, {rate} on {base}").format(
            rate=percent_text(one.percent), base=money_text(one.base, currency)
        ),
        amount=money_text(one.tax, currency),
    )


def taken_rows(draft: Draft) -> tuple[TakenRow, ...]:
    """Return the advances with their tax, and what is left when they are taken off."""
    if not draft.taken:
        return ()
    currency = draft.currency
    rows = [
        _taken(
            _("less advance invoice {number} of {day}, received {received}").format(
                number=one.advance.number, day=long_day(one.advance.issued_on),
                received=long_day(one.received_on),
            ),
            one.sum, currency, sign=-1,
        )
        for one in draft.taken
    ]  # fmt: skip
    whole = _taken(_("All that was supplied"), draft.bill.whole, currency)
    rest = _taken(_("Left after the advances"), draft.rest, currency, main=True)
    return (whole, *rows, rest)


def _taken(
    label: str, sums: Taxed, currency: str, *, sign: int = 1, main: bool = False
) -> TakenRow:
    return TakenRow(
        label=label, net=money_text(sign * sums.net, currency),
        tax=money_text(sign * sums.tax, currency),
        gross=money_text(sign * sums.gross, currency), main=main,
    )  # fmt: skip


def due_rows(draft: Draft) -> tuple[PriceRow, ...]:
    """Return what was received besides, and what is due."""
    if draft.kind != "final":
        return ()
    other = money_text(-draft.other, draft.currency)
    received = PriceRow(label=_("received besides, no tax taken off"), amount=other)
    owed = draft.bill.due
    label = _("Due") if owed >= 0 else _("You get back")
    due = PriceRow(label=label, amount=money_text(abs(owed), draft.currency), main=True)
    return (received, due) if draft.other else (due,)


def notes(draft: Draft) -> list[str]:
    """Return what is said below the sums: why no tax, when delivered, how paid."""
    said = [draft.reason, draft.note]
    if draft.kind == "advance":
        paid = _("Paid in full on {day}; nothing is due.")
        said.append(paid.format(day=long_day(draft.supplied_on)))
    if draft.kind == "final":
        said += _payment(draft)
    if draft.regime == "export" and draft.reason != _(REGIMES["export"].note):
        said.append(_("Whoever buys pays duties and charges of import."))
    return [one for one in said if one]


def _payment(draft: Draft) -> list[str]:
    seller, due = draft.seller, draft.bill.due
    if due == 0:
        return [_("Paid in full; nothing is due.")]
    if due < 0:
        return [_("More was paid than is billed; the difference is paid back.")]
    when = (
        _("Please pay by {day}.").format(day=long_day(draft.due_on))
        if draft.due_on
        else _("Please pay at once.")
    )
    if not seller["iban"]:
        return [when]
    account = _("Account: {holder}, IBAN {iban}").format(
        holder=seller["account_holder"] or seller["name"], iban=in_fours(seller["iban"])
    )
    return [when, f"{account}, BIC {seller['bic']}" if seller["bic"] else account]


def numbers_of(party: dict[str, str]) -> list[tuple[str, str]]:
    """Return the numbers a party is known by to offices, with their names."""
    known = (
        (_("VAT number"), party.get("vat_number")),
        (_("Tax number"), party.get("tax_number")),
        (_("Trade register"), party.get("legal_id")),
    )
    return [(label, number) for label, number in known if number]


AMOUNTS = frozenset({"amount", "left"})
"""Placeholders of refusals that are amounts of money."""


def refusal_words(error: QuoteError, currency: str, system: System) -> str:
    """Return a refusal as a sentence, amounts with their currency."""
    values = {
        name: money_text(value, currency) if name in AMOUNTS else value  # type: ignore[arg-type]
        for name, value in error.values.items()
    }
    return sentence(QuoteError(error.message, field=error.field, **values), system)
