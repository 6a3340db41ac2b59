"""What the shop has and what it plans: steels, bars, tools, billets.

Lengths are metres, masses kilograms, temperatures kelvin (``SIField``); alloy
contents are mass per cent, as every data sheet prints them.
"""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
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


class PlanQuerySet(models.QuerySet["Plan"]):
    def whole(self) -> PlanQuerySet:
        """Plans with all they are computed from, in a fixed number of queries."""
        bars = PlanBar.objects.select_related("bar__steel").prefetch_related(
            "bar__steel__tempers"
        )
        steps = PlanStep.objects.select_related("core__steel").prefetch_related(
            "core__steel__tempers"
        )
        return self.select_related("forge", "tool", "saw", "bath").prefetch_related(
            models.Prefetch("bars", bars),
            models.Prefetch("steps", steps),
            models.Prefetch("targets", PlanTarget.objects.select_related("knife")),
        )


class Plan(models.Model):
    """A billet: which bars in which order, how forged, on what; knows no customer."""

    title = models.CharField(_("name of the billet"), max_length=80)
    order = models.CharField(
        _("order of the layers"), max_length=400,
        help_text=_("One letter a piece, from the bottom: ABABABA."),
    )  # fmt: skip
    length = SIField(_("length of the stack"), kind="length")
    width = SIField(_("width of the stack"), kind="length")
    forge = models.ForeignKey(
        Equipment, models.PROTECT, related_name="+", verbose_name=_("forge"),
        limit_choices_to={"kind": "forge"},
    )  # fmt: skip
    tool = models.ForeignKey(
        Equipment, models.PROTECT, related_name="+",
        verbose_name=_("press, hammer or hand"),
        limit_choices_to={"kind__in": ["press", "hammer", "hand"]},
    )  # fmt: skip
    saw = models.ForeignKey(
        Equipment, models.PROTECT, related_name="+", verbose_name=_("saw"),
        limit_choices_to={"kind": "saw"},
    )  # fmt: skip
    bath = models.ForeignKey(
        Equipment, models.PROTECT, related_name="+", verbose_name=_("quench bath"),
        limit_choices_to={"kind": "bath"}, null=True, blank=True,
    )  # fmt: skip
    seed = models.PositiveIntegerField(_("seed of the draws"), default=20260101)
    chance = models.FloatField(_("chance aimed at"), default=0.8)
    hot_tick = models.BooleanField(
        _("I know this welding heat is close to burning"), default=False
    )
    note = models.TextField(_("note"), blank=True, max_length=4000)
    template = models.CharField(
        _("template for knives of"), max_length=10, choices=choices.pattern_class,
        blank=True,
        help_text=_("A floor price runs this plan for the knife that is asked for."),
    )  # fmt: skip
    typed = models.JSONField(default=dict, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed = models.DateTimeField(auto_now=True)

    objects = PlanQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        verbose_name, verbose_name_plural = _("billet plan"), _("billet plans")

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("plan", args=[self.pk])


class PlanBar(models.Model):
    """Which bar a letter of the layer order stands for."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="bars")
    letter = models.CharField(max_length=1)
    bar = models.ForeignKey(BarSize, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["letter"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "letter"], name="one_bar_a_letter")
        ]

    def __str__(self) -> str:
        return f"{self.letter}: {self.bar}"


class PlanStep(models.Model):
    """One step from stack to bar; only the fields of its kind are filled."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="steps")
    position = models.PositiveIntegerField()
    kind = models.CharField(_("step"), max_length=8, choices=choices.step)
    temperature = SIField(_("steel at"), kind="temperature", null=True, blank=True)
    heats = models.PositiveIntegerField(_("heats"), null=True, blank=True)
    width = SIField(_("to width"), kind="length", null=True, blank=True)
    thickness = SIField(_("to thickness"), kind="thickness", null=True, blank=True)
    per_end = SIField(_("off each end"), kind="length", null=True, blank=True)
    face = SIField(_("off each face"), kind="thickness", null=True, blank=True)
    edge = SIField(_("off each edge"), kind="thickness", null=True, blank=True)
    pieces = models.PositiveIntegerField(_("pieces"), null=True, blank=True)
    turned = models.BooleanField(_("every second piece turned over"), default=False)
    turns = models.FloatField(
        _("full turns"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    octagon = models.BooleanField(
        _("corners ground to an octagon first"), default=False
    )
    depth = SIField(_("depth"), kind="thickness", null=True, blank=True)
    groove = SIField(_("width of a groove"), kind="thickness", null=True, blank=True)
    groove_shape = models.CharField(
        _("shape of the groove"), max_length=6, choices=choices.groove, blank=True
    )
    drill = SIField(_("drill"), kind="thickness", null=True, blank=True)
    point = SIField(_("point angle of the drill"), kind="angle", null=True, blank=True)
    pitch = SIField(_("pitch on one face"), kind="thickness", null=True, blank=True)
    core = models.ForeignKey(
        BarSize, models.PROTECT, related_name="+", verbose_name=_("bar for the core"),
        null=True, blank=True,
    )  # fmt: skip
    typed = models.JSONField(default=dict, editable=False)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "position"], name="one_step_a_place"
            )
        ]

    def __str__(self) -> str:
        return f"{self.position}: {self.kind}"


class PlanTarget(models.Model):
    """What must come out of the bar: one row a knife, in plain numbers."""

    plan = models.ForeignKey(
        Plan, models.SET_NULL, related_name="targets", null=True, blank=True
    )
    label = models.CharField(max_length=120)
    # Of a bar as forged, and of one already ground clean, whose blank needs less.
    needed = SIField(kind="mass")
    clean_needed = SIField(kind="mass")
    thickness = SIField(kind="thickness")
    width_low = SIField(kind="length")
    width_high = SIField(kind="length")
    length = SIField(kind="length")
    # Of the finished blade: its height and spine at the heel, and behind the edge.
    blade_height = SIField(kind="length", default=0.0)
    spine = SIField(kind="thickness", default=0.0)
    behind_edge = SIField(kind="fine", default=0.0)
    hardness = models.FloatField(default=60.0)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.label


class SubmittedForm(models.Model):
    """A form that has been carried out, so that sending it twice does nothing more."""

    key = models.CharField(max_length=64, unique=True)
    digest = models.CharField(max_length=64)
    leads_to = models.CharField(max_length=400)
    at = models.DateTimeField(auto_now_add=True, db_index=True)

    def __str__(self) -> str:
        return self.leads_to
