"""What the private page shows of an order, and nothing else of it.

The template is given a ``PrivatePage`` and no row of the database: what is not named
here cannot reach a customer. A quote is shown from its rows, as it was issued; what
was ordered as it is agreed now.
"""

from __future__ import annotations

from dataclasses import dataclass

from quotes.offer.beside import Part
from quotes.offer.price_table import PriceTable
from quotes.private.case import Case, case_of
from quotes.private.heads import facts_of, price_of, said_of, title_of
from quotes.private.kept import papers_shown, questions_shown
from quotes.private.knives import KnifeShown, knives_shown
from quotes.private.pending import PendingShown, pending_shown
from quotes.private.photos import PhotoShown, photos_shown
from quotes.private.prices import changed_since_yes, options_to_choose, prices_shown
from quotes.private.progress import Progress, progress_of
from quotes.private.steps import steps_of
from quotes.private.terms import (
    care_shown,
    kind_shown,
    parts_shown,
    terms_shown,
)
from shop.models import Order, Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivatePage:
    """All a customer is shown.

    Attributes
    ----------
    title : str
        The quote, or what became an order, with its number.
    state : State
        How it stands.
    said : str
        The same as a sentence.
    facts : tuple of (label, text)
        The head of the page; of the customer the initials only.
    price : tuple of (amount, how it is read)
        Before the yes, unless there are several.
    kind : str
        Whether the price binds.
    changes : tuple of str
        What is different from the revision before, as printed.
    knives : tuple of KnifeShown
        What is offered or made.
    tolerances : str
        What hand-forged work may be off.
    prices : PriceTable or None
        What it costs, with its options.
    parts : tuple of (heading, sentences)
        Tax, deposit and balance, delivery.
    steps : tuple of str
        What happens next, in its order.
    agreed : tuple of str
        What was changed after the yes.
    terms : tuple of (heading, text)
        Terms, care and law, as on the paper.
    progress : Progress or None
        After the yes: what is needed, what is paid, what is open.
    pending : tuple of PendingShown
        Changes that wait for an answer.
    care : tuple of (heading, text)
        Once it is handed over.
    photos : tuple of PhotoShown
        What was photographed and marked for the customer, newest first.
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
    price: tuple[str, str] | tuple[()]
    kind: str
    changes: tuple[str, ...]
    knives: tuple[KnifeShown, ...]
    tolerances: str
    prices: PriceTable | None
    parts: tuple[Part, ...]
    steps: tuple[str, ...]
    agreed: tuple[str, ...]
    terms: tuple[tuple[str, str], ...]
    progress: Progress | None
    pending: tuple[PendingShown, ...]
    care: tuple[str, str] | tuple[()]
    photos: tuple[PhotoShown, ...]
    papers: tuple[tuple[str, str], ...]
    questions: tuple[tuple[str, str, bool], ...]
    options: tuple[tuple[str, str], ...]
    sha256: str


def private_page(order: Order, shop: Shop) -> PrivatePage | None:
    """Return what is shown of an order, in the language that is spoken.

    None where no quote of it was issued.
    """
    case = case_of(order, shop)
    return None if case is None else page_of(case)


def page_of(case: Case) -> PrivatePage:
    """Return what is shown of a case."""
    order = case.order
    knives, tolerances = knives_shown(case)
    paid_for = case.is_ordered and order.agreed is not None
    return PrivatePage(
        title=title_of(case),
        state=case.state,
        said=said_of(case),
        facts=facts_of(case),
        price=price_of(case),
        kind=kind_shown(case),
        changes=() if case.answer else case.offer.changes,
        knives=knives,
        tolerances=tolerances,
        prices=prices_shown(case),
        parts=parts_shown(case),
        steps=steps_of(case),
        agreed=changed_since_yes(order, case.offer.currency) if case.answer else (),
        terms=terms_shown(case),
        progress=progress_of(case) if paid_for else None,
        pending=pending_shown(case),
        care=care_shown(case),
        photos=photos_shown(order),
        papers=papers_shown(order),
        questions=questions_shown(order),
        options=options_to_choose(case),
        sha256=case.quote.paper.sha256,
    )
