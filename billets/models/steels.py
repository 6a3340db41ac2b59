"""Steels, their temper tables, and the bars on offer.

Lengths are metres, temperatures kelvin (``SIField``); alloy contents are mass per
cent, as every data sheet prints them.
"""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from billets import choices
from billets.fields import SIField


def _percent(label: Any) -> models.FloatField:
    return models.FloatField(
        label, null=True, blank=True, validators=[MinValueValidator(0)]
    )


class Steel(models.Model):
    """A steel as its data sheet describes it; empty limits are not known."""

    key = models.SlugField(_("short name"), unique=True, max_length=40)
    name = models.CharField(_("name"), max_length=80)
    number = models.CharField(_("number"), max_length=40, blank=True)
    family = models.CharField(_("family"), max_length=60, blank=True)
    carbon = models.FloatField(_("carbon, %"), validators=[MinValueValidator(0)])
    carbon_min, carbon_max = _percent(_("carbon from")), _percent(_("carbon to"))
    manganese = models.FloatField(_("manganese, %"), default=0)
    manganese_min, manganese_max = (
        _percent(_("manganese from")),
        _percent(_("manganese to")),
    )
    silicon = models.FloatField(_("silicon, %"), default=0)
    silicon_min, silicon_max = _percent(_("silicon from")), _percent(_("silicon to"))
    chromium = models.FloatField(_("chromium, %"), default=0)
    chromium_min, chromium_max = (
        _percent(_("chromium from")),
        _percent(_("chromium to")),
    )
    nickel = models.FloatField(_("nickel, %"), default=0)
    nickel_min, nickel_max = _percent(_("nickel from")), _percent(_("nickel to"))
    molybdenum = models.FloatField(_("molybdenum, %"), default=0)
    molybdenum_min, molybdenum_max = (
        _percent(_("molybdenum from")),
        _percent(_("molybdenum to")),
    )
    vanadium = models.FloatField(_("vanadium, %"), default=0)
    vanadium_min, vanadium_max = (
        _percent(_("vanadium from")),
        _percent(_("vanadium to")),
    )
    tungsten = models.FloatField(_("tungsten, %"), default=0)
    tungsten_min, tungsten_max = (
        _percent(_("tungsten from")),
        _percent(_("tungsten to")),
    )
    sulphur = _percent(_("sulphur at most"))
    phosphorus = _percent(_("phosphorus at most"))
    copper = _percent(_("copper at most"))
    etch = models.CharField(_("after etching"), max_length=8, choices=choices.etch)
    harden_min = SIField(_("harden from"), kind="temperature", null=True, blank=True)
    harden_max = SIField(_("harden to"), kind="temperature", null=True, blank=True)
    quench_class = models.CharField(
        _("quench class"), max_length=8, choices=choices.quench
    )
    quench_medium = models.CharField(_("quench medium"), max_length=80, blank=True)
    as_quenched = models.CharField(
        _("hardness as quenched, HRC"), max_length=12, blank=True
    )
    soak_min = SIField(_("soak from"), kind="duration", null=True, blank=True)
    soak_max = SIField(_("soak to"), kind="duration", null=True, blank=True)
    martensite_start = SIField(
        _("martensite start by the sheet"), kind="temperature", null=True, blank=True
    )
    normalise_at = SIField(
        _("normalise first at"), kind="temperature", null=True, blank=True
    )
    anneal = models.CharField(_("soften by the sheet"), max_length=120, blank=True)
    forge_max = SIField(
        _("forge no hotter than"), kind="temperature", null=True, blank=True
    )
    temper_for_60 = SIField(
        _("temper for 60 HRC"), kind="temperature", null=True, blank=True
    )
    density = SIField(_("density"), kind="density", default=7850.0)
    expansion = models.FloatField(
        _("expansion, 1e-6 per kelvin"), null=True, blank=True
    )
    source = models.TextField(_("sources"), blank=True)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name, verbose_name_plural = _("steel"), _("steels")

    def __str__(self) -> str:
        return self.name


class TemperPoint(models.Model):
    """A row of a steel's temper table: so hot for so long gives so many HRC."""

    steel = models.ForeignKey(
        Steel, models.CASCADE, related_name="tempers", verbose_name=_("steel")
    )
    temperature = SIField(_("tempered at"), kind="temperature")
    duration = SIField(_("for, all tempers together"), kind="hours")
    hardness = models.FloatField(
        _("hardness, HRC"), validators=[MinValueValidator(20), MaxValueValidator(70)]
    )
    source = models.CharField(_("source"), max_length=120, blank=True)
    own = models.BooleanField(
        _("from the shop's own sheet or measurement"), default=True
    )

    class Meta:
        ordering = ["steel__name", "temperature", "duration"]
        verbose_name = _("row of a temper table")
        verbose_name_plural = _("temper tables")
        constraints = [
            models.UniqueConstraint(
                fields=["steel", "temperature", "duration", "source"],
                name="one_row_a_temper",
            )
        ]

    def __str__(self) -> str:
        return f"{self.steel.name}: {self.temperature - 273.15:g} °C {self.hardness:g}"


class BarSize(models.Model):
    """A bar the shop can buy or has on the shelf."""

    steel = models.ForeignKey(
        Steel, models.PROTECT, related_name="bars", verbose_name=_("steel")
    )
    thickness = SIField(_("thickness"), kind="thickness")
    width = SIField(_("width"), kind="length")
    length = SIField(_("length of a bar"), kind="length", default=1.0)
    on_offer = models.BooleanField(_("on offer"), default=True)

    class Meta:
        ordering = ["steel__name", "thickness", "width"]
        verbose_name, verbose_name_plural = _("bar"), _("bars")
        constraints = [
            models.UniqueConstraint(
                fields=["steel", "thickness", "width"], name="one_row_a_bar"
            ),
            models.CheckConstraint(
                condition=models.Q(thickness__gt=0, width__gt=0, length__gt=0),
                name="bar_has_a_size",
                violation_error_message=_(
                    "A bar needs a thickness, width and length above zero."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.steel.name} {self.width * 1000:g} × {self.thickness * 1000:g} mm"
