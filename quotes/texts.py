"""What papers say in words: the shop's own texts, else the usual ones.

A text is written in one language and counts from a day on. Where the shop has none, or
an empty one, the sentence here is said in the customer's language. None is a verdict:
the page of texts tells the owner to check them with an adviser. Papers that are out
keep the words they were printed with.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from django.utils import translation
from django.utils.translation import gettext, gettext_noop

from billets.messages import spoken
from shop.models import PaperText

TEXTS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "terms": (
            gettext_noop("Terms"),
            gettext_noop(
                "Made by hand to the specification printed here. The balance is due "
                "before the knife is handed over."
            ),
        ),
        "care": (
            gettext_noop("Care"),
            gettext_noop(
                "The blade is carbon steel: it can rust, and it darkens with use. Wash "
                "it by hand, dry it at once, oil it thinly. Never put it into a "
                "dishwasher. It cuts food on wood or plastic; bones, frozen food and "
                "prising break its edge."
            ),
        ),
        "legal": (
            gettext_noop("To know before you order"),
            gettext_noop(
                "The knife is made to your own specification, in words and numbers "
                "above; for such goods the right of withdrawal may not apply. Where "
                "the law sets an age for buying knives, it has to be proved before one "
                "is handed over. Layered steel often holds nickel: tell us before you "
                "order if nickel harms your skin."
            ),
        ),
        "small": (
            gettext_noop("Small business"),
            gettext_noop("No tax is shown: the small business exemption applies."),
        ),
        "export": (
            gettext_noop("Sent outside the union"),
            gettext_noop("Export without tax; the buyer pays import charges."),
        ),
        "collect": (
            gettext_noop("Handing over"),
            gettext_noop(
                "It is collected at the shop; sending it is agreed apart, at cost."
            ),
        ),
        "fixed": (
            gettext_noop("Fixed price"),
            gettext_noop(
                "This price is fixed: it changes only if you change what is made."
            ),
        ),
        "estimate": (
            gettext_noop("Estimate"),
            gettext_noop(
                "This is an estimate and binds nobody to the amount. If the work is "
                "going to cost noticeably more we tell you at once, and you decide "
                "whether it goes on."
            ),
        ),
        "keeping": (
            gettext_noop("Why papers are kept"),
            gettext_noop(
                "Quotes, requests for payment, invoices and what was agreed on them "
                "are papers of a business: the law wants them kept for some years, "
                "counted from the end of the year they were made in."
            ),
        ),
        "ladder": (
            gettext_noop("If you cancel or change it"),
            gettext_noop(
                "What is kept if you cancel, or charged for a change, goes by how far "
                "the work is."
            ),
        ),
        "change": (
            gettext_noop("Your yes"),
            gettext_noop(
                "This changes what was agreed once you have said yes to it; until then "
                "the work goes on as it was ordered. All else stays as agreed."
            ),
        ),
    }
)
"""What can be said, by key: its heading, and the usual sentence."""


def heading(key: str) -> str:
    """Return what stands above a text, in the language spoken."""
    return gettext(TEXTS[key][0])


def usual(key: str, language: str) -> str:
    """Return the sentence that stands where the shop has written none."""
    with translation.override(language):
        return gettext(TEXTS[key][1])


def text(key: str, day: dt.date) -> str:
    """Return a text in the language spoken, as it counts on a day."""
    own = (
        PaperText.objects.filter(key=key, language=spoken(), valid_from__lte=day)
        .order_by("-valid_from")
        .first()
    )
    return (own.text.strip() if own else "") or gettext(TEXTS[key][1])


def said(keys: Iterable[str], day: dt.date) -> list[tuple[str, str]]:
    """Return some texts with their headings, as ``text`` does, at one question."""
    wanted = list(keys)
    rows = PaperText.objects.filter(
        key__in=wanted, language=spoken(), valid_from__lte=day
    )
    own = {row.key: row.text.strip() for row in rows.order_by("valid_from")}
    return [(heading(key), own.get(key) or gettext(TEXTS[key][1])) for key in wanted]
