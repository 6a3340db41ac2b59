"""The admin: for rescue only; daily work has pages of its own.

Prices and taxes that were dated wrongly are mended here. Orders, knives and their
history are only looked at: a change past the services would leave the bar's targets,
the search and the history behind.
"""

from __future__ import annotations

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from shop.models import Knife, Order, StageEvent, TaxSetting


class OnlyLooked(admin.ModelAdmin):
    """Rows to look at: nothing is added, changed or taken away."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return False

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return False


@admin.register(TaxSetting)
class TaxSettingAdmin(admin.ModelAdmin):
    list_display = ("regime", "rate", "valid_from", "note")
    fields = ("regime", "rate", "valid_from", "note")


@admin.register(Order)
class OrderAdmin(OnlyLooked):
    list_display = ("number", "customer", "state", "promised_week", "created")
    list_filter = ("state",)
    list_select_related = ("customer",)
    search_fields = ("folded",)
    show_full_result_count = False


@admin.register(Knife)
class KnifeAdmin(OnlyLooked):
    list_display = ("serial", "name", "order", "stage")
    list_filter = ("stage",)
    list_select_related = ("order",)
    search_fields = ("serial", "name")
    show_full_result_count = False


@admin.register(StageEvent)
class StageEventAdmin(OnlyLooked):
    list_display = ("knife", "came_from", "stage", "correction", "by", "at")
    list_select_related = ("knife", "by")
    show_full_result_count = False
