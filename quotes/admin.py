"""What was issued, in the admin: to look at; the database takes no change either."""

from __future__ import annotations

from django.contrib import admin

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
from shop.admin import OnlyLooked


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
