"""What is kept of a customer, what for and until when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.conf import settings
from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.choices import paper_kind
from quotes.models import Invoice, Mail, Paper, Quote
from quotes.privacy.tables import Model
from shop.models import (
    AgreedChange,
    Customer,
    CustomerLink,
    CustomerQuestion,
    Entry,
    Order,
    Payment,
    Photo,
    StageEvent,
    WorkRecord,
)
from shop.templatetags.shop_words import day as short_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One thing that is kept: how much of it, what for, until when."""

    what: str
    count: int
    why: str
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPaper:
    """One paper, the day to whose end the law wants it, and whether that is past."""

    paper: Paper
    what: str
    until: dt.date
    past: bool


About = dict[Model, list[int]]


def until_erased() -> str:
    """Say how long what no law wants is kept."""
    return _("until the customer is erased")


def kept_until(made: dt.date) -> dt.date:
    """Return the last day a paper has to be kept: years run from the end of its own.

    Eight years for invoices in Germany since 2025 (UStG, section 14b; quoted from
    memory, verify); another country's years are set by HAMMERSCALE_PAPER_YEARS.
    """
    day = timezone.localdate(made) if isinstance(made, dt.datetime) else made
    return dt.date(day.year + settings.PAPER_YEARS, 12, 31)


def kept_papers(customer: Customer) -> list[KeptPaper]:
    """Return every paper of a customer's orders, latest first."""
    kinds = dict(paper_kind())
    papers = Paper.objects.filter(order__customer=customer)
    today = timezone.localdate()
    return [
        KeptPaper(
            paper=one, until=kept_until(one.made_at),
            past=kept_until(one.made_at) < today,
            what=_("{paper} {number}, order {order}").format(
                paper=kinds[one.kind], number=one.revision, order=one.order.number
            ),
        )
        for one in papers.select_related("order", "knife").order_by("-pk")
    ]  # fmt: skip


def kept_for_law(about: About, papers: list[KeptPaper]) -> list[Kept]:
    """Return what stays after an erasure, each until the last of its papers may go."""
    last = max((one.until for one in papers), default=None)
    if last is None:
        return []
    until = _("{day}, of older ones until earlier").format(day=short_day(last))
    law = _("the law wants papers of a business kept as they were")
    frozen = (
        (Paper, _("papers with name and address, as files")),
        (Quote, _("quotes with their lines, options and answers")),
        (Invoice, _("invoices with their lines and advances")),
    )
    return [
        Kept(what=what, count=len(about[model]), why=law, until=until)
        for model, what in frozen
        if about.get(model)
    ]


def kept_till_erased(customer: Customer, about: About) -> list[Kept]:
    """Return what goes with an erasure, or loses its words."""
    bare = _("no words and no name are left in them; they stay with the shop")
    return [
        Kept(what=what, count=len(about[model]), why=why,
             until=bare if customer.erased else until)
        for model, what, why, until in purposes()
        if about.get(model) and not (customer.erased and model is Customer)
    ]  # fmt: skip


def purposes() -> list[tuple[Model, str, str, str]]:
    """Return what is kept till it is erased: its table, its name, why, how long."""
    figures = _("the figures stay, no longer with a name; the words go when erased")
    return [
        (Customer, _("name, address, e-mail, telephone, VAT number, your note"),
         _("to write, to send, to know who ordered"), until_erased()),
        (Order, _("orders: wish, weeks, what was agreed, knives with their measures"),
         _("to make what was ordered, and to learn from it"), figures),
        (StageEvent, _("moves of knives, with reasons"), _("to know what happened"),
         figures),
        (WorkRecord, _("hours at the bench"), _("to learn what work takes"), figures),
        (Entry, _("weights"), _("to learn what steel and gas it takes"), figures),
        (Photo, _("photos of knives, with what they show"),
         _("to prove how a knife was made, and to show its customer"),
         _("the picture of the knife stays as a record of the work; what was written "
           "to it goes when erased, and nobody outside is shown it any more")),
        (Payment, _("payments: amount, day, reference"),
         _("to know what is paid; accounts need amount and day"), figures),
        (CustomerLink, _("private links, as a check of their secret only"),
         _("to let the customer in"), _("until they run out, at the latest until "
                                        "erased")),
        (CustomerQuestion, _("questions asked on the private page"), _("to answer"),
         until_erased()),
        (AgreedChange, _("changes after the yes"), _("to make what was agreed"),
         figures),
        (Mail, _("messages: to whom, when, their text"), _("to know what was said"),
         until_erased()),
    ]  # fmt: skip
