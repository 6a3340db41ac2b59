"""The admin: steels, bars, equipment and factors, for corrections and rescue.

Daily work has pages of its own. Boxes read quantities as everywhere, in metric units
unless another is typed.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.db import models
from django.http import HttpRequest
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from billets.fields import NumberField, QuantityField, SIField
from billets.loading import ELEMENTS
from billets.messages import spoken
from billets.models import BarSize, Equipment, ShopFactor, Steel, TemperPoint
from billets.units import show


def shown(row: models.Model, name: str) -> str:
    """Return a measured value of a row with its unit; nothing where there is none."""
    field, value = row._meta.get_field(name), getattr(row, name)
    if value is None or not isinstance(field, SIField):
        return ""
    return show(value, field.kind, language=spoken())


class ShopBoxes(admin.options.BaseModelAdmin):
    """Gives numbers the shop's boxes, and quantities a word about their unit."""

    def formfield_for_dbfield(
        self, db_field: models.Field, request: HttpRequest, **kwargs: Any
    ) -> forms.Field | None:
        if isinstance(db_field, models.FloatField) and not isinstance(
            db_field, SIField
        ):
            kwargs.setdefault("form_class", NumberField)
        box = super().formfield_for_dbfield(db_field, request, **kwargs)
        if isinstance(box, QuantityField):
            box.help_text = gettext("In %(unit)s, unless you type another unit.") % {
                "unit": box.unit
            }
        return box


class BarSizeInline(ShopBoxes, admin.TabularInline):
    model = BarSize
    extra = 1


class TemperPointInline(ShopBoxes, admin.TabularInline):
    model = TemperPoint
    extra = 1


@admin.register(Steel)
class SteelAdmin(ShopBoxes, admin.ModelAdmin):
    list_display = (
        "name",
        "number",
        "family",
        "carbon",
        "etch",
        "quench_class",
        "heat",
    )
    list_filter = ("etch", "quench_class")
    search_fields = ("key", "name", "number", "family")
    inlines = (TemperPointInline, BarSizeInline)
    save_on_top = True
    fieldsets = (
        (None, {"fields": ("name", "key", "number", "family", "etch")}),
        (
            _("Composition, mass per cent"),
            {
                "fields": tuple((f"{one}_min", one, f"{one}_max") for one in ELEMENTS),
                "description": _(
                    "From, nominal and to; leave a limit empty if you do not know it. "
                    "The program reckons with the nominal values: enter those of the "
                    "certificate."
                ),
            },
        ),
        (
            _("Impurities by the certificate, mass per cent"),
            {
                "fields": (("sulphur", "phosphorus", "copper"),),
                "description": _("Empty means not known: hot shortness stays open."),
            },
        ),
        (
            _("Hardening"),
            {
                "fields": (
                    ("harden_min", "harden_max"),
                    ("soak_min", "soak_max"),
                    ("quench_class", "quench_medium"),
                    ("martensite_start", "as_quenched", "temper_for_60"),
                ),
                "description": _(
                    "What a data sheet says here wins over the formulas. Rows of its "
                    "temper table, and what you have measured, go below."
                ),
            },
        ),
        (
            _("Forging, normalising and softening"),
            {"fields": (("forge_max", "normalise_at"), "anneal")},
        ),
        (_("Density and expansion"), {"fields": (("density", "expansion"),)}),
        (_("Where the figures come from"), {"fields": ("source", "note")}),
    )

    @admin.display(description=_("harden at"))
    def heat(self, steel: Steel) -> str:
        ends = (shown(steel, "harden_min"), shown(steel, "harden_max"))
        return " – ".join(end for end in ends if end)


@admin.register(BarSize)
class BarSizeAdmin(ShopBoxes, admin.ModelAdmin):
    list_display = ("steel", "thick", "wide", "long", "on_offer")
    list_display_links = ("steel", "thick")
    list_filter = ("on_offer", "steel")
    list_select_related = ("steel",)
    search_fields = ("steel__name", "steel__key")
    fieldsets = (
        (None, {"fields": ("steel", ("thickness", "width", "length"), "on_offer")}),
    )

    @admin.display(description=_("thickness"), ordering="thickness")
    def thick(self, bar: BarSize) -> str:
        return shown(bar, "thickness")

    @admin.display(description=_("width"), ordering="width")
    def wide(self, bar: BarSize) -> str:
        return shown(bar, "width")

    @admin.display(description=_("length of a bar"), ordering="length")
    def long(self, bar: BarSize) -> str:
        return shown(bar, "length")


@admin.register(Equipment)
class EquipmentAdmin(ShopBoxes, admin.ModelAdmin):
    list_display = ("name", "kind", "in_use")
    list_filter = ("kind", "in_use")
    search_fields = ("name",)
    fieldsets = (
        (None, {"fields": ("name", "kind", "in_use")}),
        (
            pgettext_lazy("equipment", "Forge"),
            {
                "fields": (
                    ("atmosphere", "wall_temperature"),
                    ("door_width", "door_height"),
                    ("gas_rate", "preheat"),
                    ("jets", "jet_bore", "gas_pressure", "jet_discharge"),
                    ("bottle", "bottles", "air_temperature"),
                ),
                "description": _("Counts for a forge only. Weigh the gas bottle."),
            },
        ),
        (
            _("Press, hammer or hand"),
            {
                "fields": ("strain", ("force", "die", "squeeze")),
                "description": _(
                    "Counts for what moves the steel only. A press with a known force "
                    "draws as far as that force goes; without one, and for hammer and "
                    "hand, the strain a heat counts."
                ),
            },
        ),
        (
            _("Quench bath"),
            {
                "fields": (("severity", "bath_mass"),),
                "description": _("Counts for a bath only."),
            },
        ),
        (
            _("Saw"),
            {"fields": ("kerf",), "description": _("Counts for a saw only.")},
        ),
    )


@admin.register(ShopFactor)
class ShopFactorAdmin(ShopBoxes, admin.ModelAdmin):
    list_display = ("name", "median", "ln_sd", "billets", "note")
    search_fields = ("name", "note")
    fieldsets = ((None, {"fields": ("name", ("median", "ln_sd"), "billets", "note")}),)
