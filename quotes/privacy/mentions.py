"""Where else a customer's name stands: in rows of nobody, or of somebody else.

An erasure leaves those alone: they may mean another person of that name. The owner is
shown them before.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.apps import apps
from django.db import models
from django.db.models import Q

from billets.models import Plan
from quotes.privacy.erasing import billets_cleaned
from quotes.privacy.tables import KEPT, Model, rows_about
from shop.models import Customer

OUR_APPS = ("billets", "shop", "quotes")
MOST = 20
LEAST_NAME = 4
OF_THE_PROGRAM = {"folded", "label", "leads_to", "digest"}
"""Columns the program fills itself; what they repeat is found where it was typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """One place: what kind of thing, which, and its page if it has one."""

    kind: str
    what: str
    url: str


def mentions(customer: Customer) -> list[Mention]:
    """Return places that hold the customer's name, address or number."""
    words = [one for one in (customer.name, customer.email, customer.phone)
             if len(one) >= LEAST_NAME]  # fmt: skip
    if customer.erased or not words:
        return []
    cleaned = billets_cleaned(customer).values_list("pk", flat=True)
    own = rows_about(customer)
    own[Plan] = list(cleaned)
    found: list[Mention] = []
    for model in _tables():
        rows = model._default_manager.filter(_holding(model, words))
        others = rows.exclude(pk__in=own.get(model, ()))[:MOST]
        found += [_mention(one) for one in others if _really(one, words)]
    return found[:MOST]


def _tables() -> list[Model]:
    every = [one for app in OUR_APPS for one in apps.get_app_config(app).get_models()]
    return [one for one in every if one not in KEPT and _columns(one)]


def _columns(model: Model) -> list[str]:
    """Return the columns of a table that people type words into."""
    return [
        one.name
        for one in model._meta.concrete_fields
        if isinstance(one, models.CharField | models.TextField)
        and not one.choices and one.name not in OF_THE_PROGRAM
    ]  # fmt: skip


def _holding(model: Model, words: list[str]) -> Q:
    asked = Q(pk__in=())
    for column in _columns(model):
        for word in words:
            asked |= Q(**{f"{column}__icontains": word})
    return asked


def _really(row: models.Model, words: list[str]) -> bool:
    """Whether one stands there as a word and not within another."""
    text = "\n".join(str(getattr(row, name)) for name in _columns(type(row)))
    any_of = "|".join(re.escape(one) for one in words)
    return re.search(rf"(?<!\w)(?:{any_of})(?!\w)", text, re.IGNORECASE) is not None


def _mention(row: models.Model) -> Mention:
    of = (row, getattr(row, "knife", None), getattr(row, "order", None))
    pages = (getattr(one, "get_absolute_url", None) for one in of)
    page = next(filter(None, pages), None)
    return Mention(
        kind=str(row._meta.verbose_name), what=str(row), url=page() if page else ""
    )
