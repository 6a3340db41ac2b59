"""What is kept beside a private page: papers to open, questions that were asked."""

from __future__ import annotations

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from quotes.choices import paper_kind
from quotes.models import Paper
from quotes.wording import long_day
from shop.models import Order

PAPERS = ("quote", "request", "advance", "final", "cancel", "change")
"""Kinds of paper that are made for the customer."""

MOST_QUESTIONS = 20


def papers_of(order: Order) -> QuerySet[Paper]:
    """Return the papers of an order that are made for its customer."""
    known = Paper.objects.filter(order=order, kind__in=PAPERS)
    return known.select_related("order", "knife").order_by("-pk")


def papers_shown(order: Order) -> tuple[tuple[str, str], ...]:
    """Return the papers that can be opened: what each is, and where it is."""
    # Whether a change was agreed on, its note cannot know.
    kinds = dict(paper_kind()) | {"change": _("note of a change")}
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


def questions_shown(order: Order) -> tuple[tuple[str, str, bool], ...]:
    """Return what was asked on the page: the day, the text, whether it is answered."""
    return tuple(
        (long_day(timezone.localdate(one.at)), one.text, one.answered_at is not None)
        for one in order.questions.all()[:MOST_QUESTIONS]
    )
