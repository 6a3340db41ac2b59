"""What the shop forges with, and what it has taught the model."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from billets import choices
from billets.fields import SIField


class Equipment(models.Model):
    """A forge, a tool that moves steel, or a saw; only the fields of its kind count."""

    name = models.CharField(_("name"), max_length=60, unique=True)
    kind = models.CharField(_("kind"), max_length=8, choices=choices.equipment)
    atmosphere = models.CharField(
        _("flame"),
        max_length=10,
        choices=choices.atmosphere,
        default="rich",
        blank=True,
    )
    wall_temperature = SIField(_("forge wall"), kind="temperature", default=1573.15)
    door_width = SIField(_("door width"), kind="length", default=0.15)
    door_height = SIField(_("door height"), kind="length", default=0.12)
    gas_rate = SIField(
        _("gas while lit, as weighed"), kind="mass_rate", null=True, blank=True,
        help_text=_("Empty until a bottle has been weighed: the jets then count."),
    )  # fmt: skip
    jets = models.PositiveSmallIntegerField(_("burners"), default=1)
    jet_bore = SIField(_("bore of the jet"), kind="fine", null=True, blank=True)
    gas_pressure = SIField(
        _("gas pressure at the gauge"), kind="pressure", null=True, blank=True
    )
    jet_discharge = models.FloatField(
        _("discharge of the jet"), default=0.85,
        help_text=_("Sharp drilled hole 0.6 to 0.84, tip 0.8 to 0.9."),
    )  # fmt: skip
    bottle = SIField(_("gas in a full bottle"), kind="mass_kg", null=True, blank=True)
    bottles = models.PositiveSmallIntegerField(_("bottles coupled"), default=1)
    air_temperature = SIField(
        _("air where the bottle stands"), kind="temperature", default=288.15
    )
    preheat = SIField(_("warming up"), kind="duration", default=1200.0)
    strain = models.FloatField(
        _("true strain a heat"), null=True, blank=True,
        help_text=_("How far one heat draws: press 0.35, hammer 0.30, hand 0.12."),
    )  # fmt: skip
    force = SIField(
        _("force of the press"), kind="force", null=True, blank=True,
        help_text=_("Empty if not known: the strain a heat then counts."),
    )  # fmt: skip
    die = SIField(_("length of the die along the bar"), kind="length", default=0.04)
    squeeze = SIField(_("time for one bite"), kind="seconds", default=1.5)
    severity = models.FloatField(
        _("quench severity H, 1 per inch"), null=True, blank=True,
        help_text=_("Slow oil 0.3, medium 0.5, fast 0.7, water 1."),
    )  # fmt: skip
    bath_mass = SIField(
        _("oil or water in the bath"), kind="mass_kg", null=True, blank=True
    )
    kerf = SIField(_("kerf of the saw"), kind="thickness", default=0.0016)
    in_use = models.BooleanField(_("in use"), default=True)

    class Meta:
        ordering = ["kind", "name"]
        verbose_name, verbose_name_plural = _("equipment"), _("equipment")

    def __str__(self) -> str:
        return self.name


class ShopFactor(models.Model):
    """What this shop has taught the model; without a row the trade's prior holds."""

    name = models.CharField(
        _("factor"), max_length=20, unique=True, choices=choices.factor
    )
    median = models.FloatField(_("median"), validators=[MinValueValidator(0.01)])
    ln_sd = models.FloatField(_("spread (ln sd)"), validators=[MinValueValidator(0)])
    billets = models.PositiveIntegerField(_("from how many billets"), default=0)
    note = models.CharField(_("note"), max_length=200, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name, verbose_name_plural = _("shop factor"), _("shop factors")

    def __str__(self) -> str:
        return f"{self.name} {self.median:g}"
