"""Pages of a long list by key, so that the last page costs what the first does.

A page starts after (or ends before) a row, named by its primary key, in an order that
no two rows share. Skipping rows by count would read every row before the page.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, Q, QuerySet

from billets.text import KEY_DIGITS, sent_number

SIZE = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """An order of rows: by a column, then by primary key.

    Attributes
    ----------
    column : str
        Lookup of the column; empty for the primary key alone.
    descending : bool
        Whether the greatest comes first.
    nullable : bool
        Whether the column can be empty; such rows stand last either way.
    """

    column: str = ""
    descending: bool = False
    nullable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Some rows of a list, and from which rows the pages beside it are reached.

    Attributes
    ----------
    rows : list
        The rows of this page, in order.
    after : int or None
        What the next page starts after; None on the last page.
    before : int or None
        What the previous page ends before; None on the first page.
    """

    rows: list[Any]
    after: int | None = None
    before: int | None = None


def page_of(
    rows: QuerySet[Any], sort: Sort, query: Mapping[str, str], *, size: int = SIZE
) -> Page:
    """Return the page an address asks for with ``after`` or ``before``.

    A row that is no longer there, or never was, leads to the first page.
    """
    backwards = "before" in query
    cursor = _cursor(rows, query.get("before" if backwards else "after", ""))
    backwards = backwards and cursor is not None
    found = _next_rows(rows, sort, cursor, backwards=backwards, count=size + 1)
    more, found = len(found) > size, found[:size]
    if backwards and not found:
        return page_of(rows, sort, {}, size=size)
    if backwards:
        found.reverse()
    first, last = (found[0].pk, found[-1].pk) if found else (None, None)
    return Page(
        rows=found,
        after=last if backwards or more else None,
        before=first if (more if backwards else cursor is not None) else None,
    )


def _cursor(rows: QuerySet[Any], text: str) -> Model | None:
    key = sent_number(text, digits=KEY_DIGITS)
    if key is None:
        return None
    cursor: Model | None = rows.model._default_manager.filter(pk=key).first()
    return cursor


def _next_rows(
    rows: QuerySet[Any],
    sort: Sort,
    cursor: Model | None,
    *,
    backwards: bool,
    count: int,
) -> list[Any]:
    """Return the rows after the cursor, or those before it from near to far."""
    descending = sort.descending is not backwards
    value = _value(cursor, sort.column) if cursor and sort.column else None
    parts = []
    if sort.column:
        parts.append(_part_with_value(rows, sort, cursor, value, descending=descending))
    if sort.nullable or not sort.column:
        parts.append(_part_by_key(rows, sort, cursor, value, descending=descending))
    if backwards:
        parts.reverse()
        # Rows without a value stand last: from a row with one, going back skips them.
        parts = parts[1:] if sort.nullable and value is not None else parts
    elif sort.nullable and cursor is not None and value is None:
        parts = parts[1:]
    return [row for part in parts for row in part[:count]][:count]


def _part_with_value(
    rows: QuerySet[Any],
    sort: Sort,
    cursor: Model | None,
    value: Any,
    *,
    descending: bool,
) -> QuerySet[Any]:
    sign = "-" if descending else ""
    part = rows.order_by(f"{sign}{sort.column}", f"{sign}pk")
    if sort.nullable:
        part = part.filter(**{f"{sort.column}__isnull": False})
    if cursor is None or value is None:
        return part
    way = "lt" if descending else "gt"
    # The first condition is a range that an index can start from.
    return part.filter(
        Q(**{f"{sort.column}__{way}e": value}),
        Q(**{f"{sort.column}__{way}": value}) | Q(**{f"pk__{way}": cursor.pk}),
    )


def _part_by_key(
    rows: QuerySet[Any],
    sort: Sort,
    cursor: Model | None,
    value: Any,
    *,
    descending: bool,
) -> QuerySet[Any]:
    part = rows.order_by("-pk" if descending else "pk")
    if sort.column:
        part = part.filter(**{f"{sort.column}__isnull": True})
    if cursor is None or value is not None:
        return part
    return part.filter(**{f"pk__{'lt' if descending else 'gt'}": cursor.pk})


def _value(row: Model, column: str) -> Any:
    value: Any = row
    for name in column.split("__"):
        value = getattr(value, name)
    return value
