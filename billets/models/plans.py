"""A billet plan: its bars, its steps, and what must come out of its bar."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from billets import choices
from billets.fields import SIField
from billets.models.equipment import Equipment
from billets.models.steels import BarSize


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
