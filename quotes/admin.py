"""The admin of prices: rates that were dated wrongly are mended here, and checked.

What was issued is only looked at; the database takes no change of it either.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin

from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.models import (
    DeductedAdvance,
    Invoice,
    InvoiceLine,
    Paper,
    Quote,
    QuoteAnswer,
    QuoteLine,
    QuoteOption,
)
from quotes.rate_items import ITEM_OF
from quotes.rates import check_rate
from quotes.year.items import YEAR_ITEM_OF, check_year
from shop.admin import OnlyLooked
from shop.models import Rate


class RateForm(forms.ModelForm):
    """A rate as its own page would take it."""

    class Meta:
        model = Rate
        fields = ("key", "value", "valid_from", "note")

    def clean(self) -> dict[str, Any]:
        """Refuse a value that no price could be made with."""
        clean: dict[str, Any] = super().clean() or {}
        key, value = clean.get("key", ""), clean.get("value")
        check = check_rate if key in ITEM_OF else check_year
        if value is not None and (key in ITEM_OF or key in YEAR_ITEM_OF):
            try:
                check(key, value)
            except QuoteError as error:
                self.add_error("value", sentence(error))
        return clean


@admin.register(Rate)
class RateAdmin(admin.ModelAdmin):
    form = RateForm
    list_display = ("key", "value", "valid_from", "note")
    search_fields = ("key",)


@admin.register(Quote)
class QuoteAdmin(OnlyLooked):
    list_display = ("__str__", "kind", "total", "currency", "issued_at", "valid_until")
    list_select_related = ("order",)
    search_fields = ("order__number",)
    show_full_result_count = False


@admin.register(QuoteLine, QuoteOption)
class PartAdmin(OnlyLooked):
    list_display = ("quote", "position", "label", "amount")
    list_select_related = ("quote__order",)
    search_fields = ("quote__order__number", "label")
    show_full_result_count = False


@admin.register(QuoteAnswer)
class QuoteAnswerAdmin(OnlyLooked):
    list_display = ("quote", "accepted", "option", "note", "at", "by")
    list_select_related = ("quote__order", "option", "by")
    search_fields = ("quote__order__number",)
    show_full_result_count = False


@admin.register(Paper)
class PaperAdmin(OnlyLooked):
    list_display = ("kind", "order", "knife", "revision", "made_at", "sha256")
    list_select_related = ("order", "knife")
    search_fields = ("order__number", "sha256")
    show_full_result_count = False


@admin.register(Invoice)
class InvoiceAdmin(OnlyLooked):
    list_display = ("number", "kind", "order", "gross", "due", "currency", "issued_on")
    list_select_related = ("order",)
    search_fields = ("number", "order__number")
    show_full_result_count = False


@admin.register(InvoiceLine)
class InvoiceLineAdmin(OnlyLooked):
    list_display = ("invoice", "position", "label", "net", "percent")
    list_select_related = ("invoice",)
    search_fields = ("invoice__number", "label")
    show_full_result_count = False


@admin.register(DeductedAdvance)
class DeductedAdvanceAdmin(OnlyLooked):
    list_display = ("final", "advance", "net", "tax", "gross", "received_on")
    list_select_related = ("final", "advance")
    search_fields = ("final__number", "advance__number")
    show_full_result_count = False
