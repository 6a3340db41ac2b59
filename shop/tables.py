"""The tables of orders and customers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

import django_tables2 as tables
from django.utils.translation import gettext_lazy as _
from django_tables2.data import TableData

from billets.paging import Sort
from shop.models import Customer, Knife, Order
from shop.templatetags.shop_words import day, stage_words, week_of

FIRST_SORT = "-number"
SORTS = {
    "number": Sort(),
    "-number": Sort(descending=True),
    "week": Sort(column="promised_week", nullable=True),
    "-week": Sort(column="promised_week", nullable=True, descending=True),
    "customer": Sort(column="customer__folded"),
    "-customer": Sort(column="customer__folded", descending=True),
}
"""How the table of orders can be sorted, as the address says it."""


class PageRows(TableData):
    """Rows that the database has sorted and cut to a page already."""

    def __len__(self) -> int:
        return len(self.data)

    def order_by(self, aliases: Sequence[str]) -> None:
        """Leave the rows as they are; the table only marks its headings."""


class OrderTable(tables.Table):
    """Orders, one a row."""

    caption = _("Orders")

    number = tables.Column(verbose_name=_("Number"), linkify=True)
    customer = tables.Column(verbose_name=_("Customer"), accessor="customer__name")
    knives = tables.Column(
        verbose_name=_("Knives"),
        accessor="knives__all",
        orderable=False,
        empty_values=(),
    )
    state = tables.Column(
        verbose_name=_("State"), accessor="get_state_display", orderable=False
    )
    stages = tables.Column(
        verbose_name=_("Stage"),
        accessor="knives__all",
        orderable=False,
        empty_values=(),
    )
    week = tables.Column(
        verbose_name=_("Promised"), accessor="promised_week", empty_values=()
    )
    created = tables.Column(verbose_name=_("Asked"), orderable=False)

    class Meta:
        order_by_field = "sort"
        empty_text = _("No order answers to this. Ask for less, or take a new enquiry.")

    def render_knives(self, value: Iterable[Knife]) -> str:
        return ", ".join(knife.name for knife in value)

    def render_stages(self, value: Iterable[Knife]) -> str:
        words = (stage_words(knife) for knife in value)
        return ", ".join(dict.fromkeys(words))

    def render_week(self, value: dt.date | None) -> str:
        return week_of(value) if value else "–"

    def render_created(self, value: dt.datetime) -> str:
        return day(value)


class CustomerTable(tables.Table):
    """Customers, one a row, by name."""

    caption = _("Customers")

    name = tables.Column(verbose_name=_("Name"), linkify=True, orderable=False)
    email = tables.Column(verbose_name=_("E-mail"), orderable=False, default="–")
    phone = tables.Column(verbose_name=_("Telephone"), orderable=False, default="–")
    language = tables.Column(
        verbose_name=_("Papers in"), accessor="get_language_display", orderable=False
    )

    class Meta:
        empty_text = _("No customer answers to this.")


def order_table(rows: list[Order], sort: str, request: Any) -> OrderTable:
    """Return the table of one page of orders."""
    return OrderTable(PageRows(rows), order_by=sort, request=request)


def customer_table(rows: list[Customer], request: Any) -> CustomerTable:
    """Return the table of one page of customers."""
    return CustomerTable(PageRows(rows), request=request)
