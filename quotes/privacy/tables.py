"""What hangs on a customer, table by table, and what becomes of its words.

``rows_about`` finds the tables by itself, from key to key; ``STRIPPED`` says for each
what an erasure puts in place of what somebody typed, and ``KEPT`` which are frozen. A
test asks of every text column that hangs on a customer in which of them it stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from django.db import models
from django.utils.translation import gettext_noop

from quotes.models import Extra, Mail, QuoteDraft, Variant
from quotes.triggers import FROZEN
from shop.models import (
    AgreedChange,
    Customer,
    CustomerQuestion,
    Knife,
    Order,
    Payment,
    Photo,
    StageEvent,
)

Model = type[models.Model]

MARK = gettext_noop("erased")
"""Stands where words were, where it has to be seen that there were some."""

KEPT: tuple[Model, ...] = FROZEN
"""What was issued or said to what was issued: the law wants it kept as it was."""

STRIPPED: Mapping[Model, Mapping[str, Any]] = MappingProxyType(
    {
        Order: {"wish": ""},
        Knife: {"finish": "", "note": ""},
        StageEvent: {"reason": MARK},
        Payment: {"reference": ""},
        Photo: {"note": "", "shown": False, "final": False},
        CustomerQuestion: {"text": MARK},
        AgreedChange: {"wish": MARK, "how": "", "values": {}},
        Mail: {"to": "", "subject": MARK, "body": "", "error": ""},
    }
)  # fmt: skip
"""Columns of free text and marks for the customer, and what stands there afterwards."""

BY_HAND: Mapping[Model, tuple[str, ...]] = MappingProxyType(
    {
        Customer: ("name", "email", "phone", "address", "country", "vat_number", "note",
                   "folded"),
        Order: ("folded",),
        Knife: ("name",),
        QuoteDraft: ("discount_reason",), Extra: ("label",), Variant: ("label",),
    }
)  # fmt: skip
"""Columns that ``erasing`` sees to one by one; drafts go whole."""

HARMLESS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "Customer": ("language",), "Order": ("number", "state"),
        "Knife": ("serial", "mark", "typed"), "Entry": ("typed",),
        "AgreedChange": ("passed",), "CustomerLink": ("digest",),
        "Photo": ("name", "sha256", "small_sha256"),
        "QuoteDraft": ("currency",), "Extra": ("key",),
    }
)  # fmt: skip
"""Columns nobody types words into: numbers given out, quantities, keys of choices."""


def rows_about(customer: Customer) -> dict[Model, list[Any]]:
    """Return the keys of every row that hangs on a customer, table by table."""
    found: dict[Model, set[Any]] = {Customer: {customer.pk}}
    waiting: list[Model] = [Customer]
    while waiting:
        model = waiting.pop(0)
        for child, column in _children(model):
            of_it = {f"{column}__in": found[model]}
            rows = set(
                child._default_manager.filter(**of_it).values_list("pk", flat=True)
            )
            if rows - found.get(child, set()):
                found[child] = found.get(child, set()) | rows
                waiting.append(child)
    return {model: sorted(keys) for model, keys in found.items()}


def _children(model: Model) -> Iterator[tuple[Model, str]]:
    """Return the tables with a key to one, and the column of that key."""
    for relation in model._meta.get_fields(include_hidden=True):
        if isinstance(relation, models.ManyToOneRel):
            yield relation.related_model, relation.field.name
