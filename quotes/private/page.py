"""What the private page shows of an order, and nothing else of it.

The template is given a ``PrivatePage`` and no row of the database: what is not named
here cannot reach a customer. A quote is shown from its rows, as it was issued.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets.knives import spec_from
from billets.physics.errors import PlanError
from quotes import texts
from quotes.changes_after.agreed import begun_again
from quotes.choices import paper_kind
from quotes.models import Paper, Quote, QuoteAnswer
from quotes.money import Taxed
from quotes.offer.frozen import Offer, kept_offer
from quotes.offer.price_table import PriceTable, price_table
from quotes.offer.sentences import deposit_sentences
from quotes.offer.specification import spec_table
from quotes.private.progress import Progress, knife_stages, progress_of
from quotes.private.tokens import last_quote
from quotes.rates import REGIMES
from quotes.wording import long_day, money_text
from shop import weeks
from shop.models import AgreedChange, Order, Shop
from shop.wording import screen_drawing

PAPERS = ("quote", "request", "advance", "final", "cancel", "change")
"""Kinds of paper that are made for the customer."""

MOST_QUESTIONS = 20
MOST_DRAWN = 4
"""So many knives are drawn, 12 kB each, so that a page stays below 100 kB; the paper
has the drawings of all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeShown:
    """A knife: its name, where it stands, its specification and its drawing."""

    name: str
    stage: str
    rows: tuple[tuple[str, str], ...]
    drawing: SafeString | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivatePage:
    """All a customer is shown.

    Attributes
    ----------
    title : str
        The quote, or what became an order, with its number.
    state : {"open", "run_out", "accepted", "declined", "closed"}
        How the quote stands.
    said : str
        The same as a sentence.
    facts : tuple of (label, text)
        The head of the page; of the customer the initials only.
    kind : tuple of (heading, text)
        Whether the price binds.
    changes : tuple of str
        What is different from the revision before, as printed.
    knives : tuple of KnifeShown
        What is offered or made.
    prices : PriceTable
        What it costs, with its options.
    money : tuple of str
        Tax, deposit and balance; after the yes what was changed since.
    terms : tuple of (heading, text)
        Terms, care and law, as on the paper.
    progress : Progress or None
        After the yes: what is needed, what is paid, what is open.
    papers : tuple of (label, address)
        What can be opened.
    questions : tuple of (day, text, answered)
        What was asked here.
    options : tuple of (place, text)
        What a yes chooses from.
    sha256 : str
        The paper this page was made from: an answer binds to it.
    """

    title: str
    state: str
    said: str
    facts: tuple[tuple[str, str], ...]
    kind: tuple[str, str] | tuple[()]
    changes: tuple[str, ...]
    knives: tuple[KnifeShown, ...]
    prices: PriceTable
    money: tuple[str, ...]
    terms: tuple[tuple[str, str], ...]
    progress: Progress | None
    papers: tuple[tuple[str, str], ...]
    questions: tuple[tuple[str, str, bool], ...]
    options: tuple[tuple[str, str], ...]
    sha256: str


def private_page(order: Order, shop: Shop) -> PrivatePage | None:
    """Return what is shown of an order, in the language that is spoken.

    None where no quote of it was issued.
    """
    quote = last_quote(order)
    if quote is None:
        return None
    answer = _answer(quote)
    offer, state = kept_offer(quote), state_of(order, quote, answer)
    kind, *terms = _texts(quote)
    return PrivatePage(
        title=_title(order, state),
        state=state,
        said=_said(state, quote, answer),
        facts=_facts(order, quote),
        kind=kind,
        changes=offer.changes if state in ("open", "run_out") else (),
        knives=_knives(order, quote, answer, shop),
        prices=price_table(offer, shop.units),
        money=_changed(order, offer.currency) if answer else _money(offer),
        terms=tuple(terms),
        progress=progress_of(order, quote.currency, shop) if order.agreed else None,
        papers=_papers(order),
        questions=_questions(order),
        options=_options(offer),
        sha256=quote.paper.sha256,
    )


def _title(order: Order, state: str) -> str:
    named = _("Order {number}") if state == "accepted" else _("Quote {number}")
    return named.format(number=order.number)


def _answer(quote: Quote) -> QuoteAnswer | None:
    return getattr(quote, "answer", None)


def state_of(order: Order, quote: Quote, answer: QuoteAnswer | None) -> str:
    """Return how the page of a quote stands, by a key."""
    if answer:
        return "accepted" if answer.accepted else "declined"
    if order.state != "quoted":
        return "closed"
    return "open" if quote.valid_until >= timezone.localdate() else "run_out"


def _said(state: str, quote: Quote, answer: QuoteAnswer | None) -> str:
    until = long_day(quote.valid_until)
    if answer:
        day = long_day(timezone.localdate(answer.at))
        taken = f" {answer.option.label}." if answer.option else ""
        said = (
            _("Accepted on {day}. Thank you: it is written down.")
            if answer.accepted
            else _("Declined on {day}. Ask below if you change your mind.")
        )
        return said.format(day=day) + taken
    return {
        "open": _("It stands until {day}. Read it, then answer at the end."),
        "run_out": _("It ran out on {day}. Ask the shop below whether it still "
                     "stands."),
        "closed": _("The shop has closed this order; nothing can be answered."),
    }[state].format(day=until)  # fmt: skip


def _facts(order: Order, quote: Quote) -> tuple[tuple[str, str], ...]:
    week = order.promised_week
    return (
        (_("For"), order.customer.initials),
        (_("Revision"), str(quote.revision)),
        (_("Date"), long_day(timezone.localdate(quote.issued_at))),
        (_("Holds until"), long_day(quote.valid_until)),
        (_("Promised"), weeks.in_words(week) if week else _("agreed with you")),
    )


def _texts(quote: Quote) -> list[tuple[str, str]]:
    """Return the kind of price, then terms, care and law, of the day of issue."""
    day = timezone.localdate(quote.issued_at)
    return texts.said((quote.kind, "terms", "care", "legal"), day)


def _money(offer: Offer) -> tuple[str, ...]:
    regime = REGIMES.get(offer.regime)
    note = [_(regime.note)] if regime and not regime.taxed else []
    if offer.options:
        return tuple(note)
    rest = offer.total - offer.deposit
    return (*note, *deposit_sentences(_paid(offer.deposit), _paid(rest),
                                      offer.currency))  # fmt: skip


def _changed(order: Order, currency: str) -> tuple[str, ...]:
    """Return what was agreed after the yes, which knives and prices do not show."""
    rows = list(order.changes.filter(state="agreed"))
    if not rows:
        return ()
    now = _("To be paid in all, with that: {amount}.").format(
        amount=money_text(order.agreed or Decimal(0), currency)
    )
    return (*(_change(one, currency) for one in rows), now)


def _change(one: AgreedChange, currency: str) -> str:
    day = long_day(timezone.localdate(one.answered_at or one.made_at))
    if one.knife_id is None:
        kept = money_text(one.fee, currency)
        return _("Cancelled on {day}; kept in all: {amount}.").format(
            day=day, amount=kept
        )
    told = [f"{label}: {was} → {now}" for label, was, now in one.values.get("told", ())]
    said = _("Changed after your yes, agreed on {day}: {what}. It comes to {amount}.")
    return said.format(
        day=day, what="; ".join(told) or one.wish.rstrip(" ."),
        amount=money_text(one.more + one.fee, currency),
    )  # fmt: skip


def _paid(amount: Decimal) -> Taxed:
    return Taxed(net=amount, tax=Decimal(0), gross=amount)


# --- knives ----------------------------------------------------------------------


def _knives(
    order: Order, quote: Quote, answer: QuoteAnswer | None, shop: Shop
) -> tuple[KnifeShown, ...]:
    """Return the knives as they were quoted, with the option that was taken."""
    words: Mapping[str, Any] = quote.basis.get("words", {}).get("knives", {})
    stages = _stages(order) if answer and answer.accepted else {}
    return tuple(
        KnifeShown(
            name=kept.get("name", kept["serial"]),
            stage=stages.get(kept["serial"], ""),
            rows=_rows(words.get(kept["serial"])),
            drawing=_drawing(_as_taken(kept, answer), shop, place),
        )
        for place, kept in enumerate(quote.basis.get("knives", ()), start=1)
    )


def _stages(order: Order) -> dict[str, str]:
    """Return where each quoted knife stands, or the one begun in its place."""
    said = knife_stages(order)
    again = begun_again(order) if len(said) > 1 else {}
    return {serial: _stage(serial, said, again) for serial in said}


def _stage(serial: str, said: Mapping[str, str], again: Mapping[str, str]) -> str:
    last, seen = serial, {serial}
    while (later := again.get(last)) and later not in seen:
        last = later
        seen.add(later)
    if last == serial:
        return said[serial]
    lost = _("The first one did not pass the shop's own checks; another is made in its "
             "place.")  # fmt: skip
    return f"{lost} {said[last]}"


def _rows(words: Mapping[str, str] | None) -> tuple[tuple[str, str], ...]:
    if not words:
        return ()
    return tuple((label, one) for label, (one,) in spec_table([words]))


def _as_taken(kept: Mapping[str, Any], answer: QuoteAnswer | None) -> dict[str, Any]:
    spec = dict(kept.get("spec", {}))
    option = answer.option if answer else None
    if option and option.serial == kept["serial"]:
        spec |= option.values
    return spec


def _drawing(spec: dict[str, Any], shop: Shop, place: int) -> SafeString | None:
    if not spec or place > MOST_DRAWN:
        return None
    try:
        return screen_drawing(spec_from(spec), shop.units, f"knife-{place}")
    except PlanError:
        return None  # the paper has the drawing as it was made


# --- beside them -----------------------------------------------------------------


def _options(offer: Offer) -> tuple[tuple[str, str], ...]:
    return tuple(
        (str(place), f"{one.label}: {money_text(one.amount, offer.currency)}")
        for place, one in enumerate(offer.options, start=1)
    )


def papers_of(order: Order) -> QuerySet[Paper]:
    """Return the papers of an order that are made for its customer."""
    known = Paper.objects.filter(order=order, kind__in=PAPERS)
    return known.select_related("order", "knife").order_by("-pk")


def _papers(order: Order) -> tuple[tuple[str, str], ...]:
    kinds = dict(paper_kind())
    return tuple(
        (
            _("{paper} {number}, {day}").format(
                paper=capfirst(str(kinds[one.kind])), number=one.revision,
                day=long_day(timezone.localdate(one.made_at)),
            ),
            reverse("private-paper", args=[one.kind, one.revision]),
        )
        for one in papers_of(order)
    )  # fmt: skip


def _questions(order: Order) -> tuple[tuple[str, str, bool], ...]:
    return tuple(
        (long_day(timezone.localdate(one.at)), one.text, one.answered_at is not None)
        for one in order.questions.all()[:MOST_QUESTIONS]
    )
