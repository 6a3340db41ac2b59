"""Everything about a customer as one file: rows as JSON, papers and photos as files.

What hangs on the customer is found by its keys (``tables.rows_about``), so a table that
comes later is in it by itself; of each the columns that ``given`` names. Left out is
what is about the shop and not the customer.
"""

from __future__ import annotations

import json
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import IO, Any

from django.core.serializers.json import DjangoJSONEncoder
from django.utils import timezone, translation
from django.utils.translation import gettext, gettext_noop

from quotes import store
from quotes.mails.masking import masked
from quotes.models import Paper
from quotes.paper_files import file_name
from quotes.privacy.given import GIVEN, INSIDE
from quotes.privacy.tables import Model, rows_about
from shop import photos
from shop.kept_files import DamagedFileError
from shop.models import Customer, Photo

Json = dict[str, Any]

LEFT_OUT: tuple[str, ...] = (
    gettext_noop("the shop's own reckoning of its costs"),
    gettext_noop("hours at the bench and what was weighed there"),
    gettext_noop("the check of a private link's secret"),
    gettext_noop("copies of names that the search needs"),
    gettext_noop("who of the shop wrote it down"),
)
"""What says nothing about the customer, or would open something."""


def exported(customer: Customer) -> IO[bytes]:
    """Return all that is kept about a customer as a ZIP, in a file of its own.

    A customer of many photos would not fit into the memory of a small machine.
    """
    rows = {model: _rows(model, keys) for model, keys in rows_about(customer).items()}
    file, lost = tempfile.TemporaryFile(), []  # noqa: SIM115  whoever sends it closes it
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as whole:
        for name, read in _files(customer):
            try:
                whole.writestr(name, read())
            except DamagedFileError:
                lost.append(name)
        about = {"about": _about(customer, lost), **_named(rows)}
        text = json.dumps(about, cls=DjangoJSONEncoder, ensure_ascii=False, indent=2)
        whole.writestr("customer.json", text + "\n")
    file.seek(0)
    return file


def _files(customer: Customer) -> Iterator[tuple[str, Callable[[], bytes]]]:
    """Return the name of each file, and what reads it; photos taken back have none."""
    papers = Paper.objects.filter(order__customer=customer)
    for paper in papers.select_related("order", "knife").order_by("pk"):
        yield f"papers/{file_name(paper)}", partial(store.read, paper.sha256)
    pictures = Photo.objects.filter(knife__order__customer=customer, taken_back=None)
    for one in pictures.select_related("knife").order_by("pk"):
        name = f"photos/{one.pk}-{photos.file_name(one, 'large')}"
        yield name, partial(photos.read_large, one)


def _named(rows: Mapping[Model, list[Json]]) -> Json:
    return {model._meta.model_name or "": found for model, found in rows.items()}


def _rows(model: Model, keys: list[Any]) -> list[Json]:
    known = model._default_manager.filter(pk__in=keys).order_by("pk")
    table = model.__name__
    given = GIVEN.get(table, "id").split()
    columns = [one for one in model._meta.concrete_fields if one.name in given]
    return [
        {one.name: _said(table, one.name, one.value_from_object(row))
         for one in columns}
        for row in known
    ]  # fmt: skip


def _said(table: str, column: str, value: Any) -> Any:
    """Return what goes out of one column: a part of it, a link without its secret."""
    inside = INSIDE.get((table, column))
    if inside is not None:
        return {key: part for key, part in value.items() if key in inside}
    return masked(value) if isinstance(value, str) else value


def _about(customer: Customer, lost: list[str]) -> Json:
    """Say what the file is, in the customer's language."""
    with translation.override(customer.language):
        return {
            "what": gettext(
                "All that is kept about this customer: one list a table, papers and "
                "photos as files in the folders beside. Sizes are in metres, weights "
                "in kilograms, angles in radians, hardness in HRC."
            ),
            "made_at": timezone.now(),
            "left_out": [gettext(one) for one in LEFT_OUT],
            "files_missing_or_damaged": lost,
        }
