"""Orders, their knives, and the moves of a knife."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from billets.fields import SIField
from billets.models import PlanTarget
from shop import choices, stages
from shop.models.customers import Customer


class OrderQuerySet(models.QuerySet["Order"]):
    def for_list(self) -> OrderQuerySet:
        """Orders with all a row of the table shows, at a fixed number of queries."""
        return self.select_related("customer").prefetch_related("knives")

    def open(self) -> OrderQuerySet:
        """Orders that still wait on somebody."""
        return self.filter(state__in=stages.open_states())

    def without_work(self) -> OrderQuerySet:
        """Return accepted orders with no knife at the bench: one was scrapped."""
        return self.filter(state="accepted").exclude(knives__stage__in=stages.bench())

    def due_by(self, day: dt.date) -> OrderQuerySet:
        """Orders accepted for a week that began by a day, most pressing first."""
        return self.filter(state="accepted", promised_week__lte=day).order_by(
            "promised_week"
        )


class Order(models.Model):
    """One commission, from the enquiry to the handing over."""

    number = models.CharField(_("number"), max_length=12, unique=True, editable=False)
    customer = models.ForeignKey(
        Customer, models.PROTECT, related_name="orders", verbose_name=_("customer")
    )
    state = models.CharField(
        _("state"), max_length=10, choices=choices.state, default="enquiry"
    )
    wish = models.TextField(
        _("wish in the customer's words"), blank=True, max_length=4000
    )
    promised_week = models.DateField(
        _("promised for the week of"), null=True, blank=True
    )
    wanted_week = models.DateField(_("wanted for the week of"), null=True, blank=True)
    named_price = models.DecimalField(
        _("price the customer named"), max_digits=12, decimal_places=3, null=True,
        blank=True,
    )  # fmt: skip
    # What was agreed with the yes: total and deposit, tax included where there is one.
    agreed = models.DecimalField(
        max_digits=12, decimal_places=3, null=True, editable=False
    )
    deposit_due = models.DecimalField(
        max_digits=12, decimal_places=3, null=True, editable=False
    )
    created = models.DateTimeField(_("asked"), default=timezone.now)
    folded = models.CharField(max_length=400, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = OrderQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        verbose_name, verbose_name_plural = _("order"), _("orders")
        indexes = [
            models.Index(fields=["state", "-id"], name="order_by_state"),
            models.Index(fields=["promised_week", "id"], name="order_by_week"),
            models.Index(fields=["state", "promised_week"], name="order_due"),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("order", args=[self.number])


class KnifeQuerySet(models.QuerySet["Knife"]):
    def in_work(self) -> KnifeQuerySet:
        """Knives of accepted orders that are still at the bench."""
        return self.filter(order__state="accepted", stage__in=stages.bench())

    def for_list(self) -> KnifeQuerySet:
        """Knives with their order, customer and billet in one query."""
        return self.select_related("order__customer", "target__plan")


class Knife(models.Model):
    """One knife: what it shall be, and where it stands at the bench."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="knives")
    name = models.CharField(_("name of the knife"), max_length=60)
    serial = models.CharField(
        _("knife number"), max_length=8, unique=True, editable=False
    )
    mark = models.CharField(_("scratch mark"), max_length=4, editable=False)
    stage = models.CharField(
        _("stage"),
        max_length=10,
        choices=choices.stage,
        blank=True,
        default="",
        editable=False,
    )
    target = models.OneToOneField(
        PlanTarget, models.PROTECT, related_name="knife", editable=False
    )

    # The scrapped one it is begun in the place of.
    replaces = models.ForeignKey(
        "self", models.PROTECT, related_name="again", null=True, editable=False
    )

    family = models.CharField(_("family"), max_length=12, choices=choices.family)
    length = SIField(_("edge length"), kind="length")
    height = SIField(_("height at the heel"), kind="length")
    heel_thickness = SIField(_("spine above the heel"), kind="thickness")
    middle_thickness = SIField(_("spine at the middle"), kind="thickness")
    tip_thickness = SIField(_("spine 10 mm before the tip"), kind="thickness")
    grind = models.CharField(
        _("grind"), max_length=12, choices=choices.grind, default="family"
    )
    behind_edge = SIField(_("behind the edge"), kind="fine")
    edge_angle = SIField(_("edge angle a side"), kind="angle")
    forging = models.CharField(
        _("forged as"), max_length=8, choices=choices.forging, default="bevel"
    )
    allowance = models.CharField(
        _("forged how close"),
        max_length=8,
        choices=choices.allowance,
        default="typical",
    )
    tang = models.CharField(_("tang"), max_length=8, choices=choices.tang)
    neck_length = SIField(_("neck"), kind="length")
    tang_length = SIField(_("tang length"), kind="length", null=True, blank=True)
    handle = models.CharField(_("handle shape"), max_length=8, choices=choices.handle)
    handle_material = models.CharField(
        _("handle material"), max_length=20, choices=choices.material
    )
    handle_length = SIField(_("handle length"), kind="length")
    ferrule = models.CharField(
        _("ferrule"), max_length=20, choices=choices.ferrule, blank=True, default=""
    )
    bolster_mass = SIField(_("bolster"), kind="mass", default=0.0)
    hardness = models.FloatField(
        _("hardness aimed at, HRC"),
        default=60,
        validators=[MinValueValidator(50), MaxValueValidator(67)],
    )
    finish = models.CharField(_("finish"), max_length=80, blank=True)
    note = models.TextField(_("note for the bench"), blank=True, max_length=2000)
    typed = models.JSONField(default=dict, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = KnifeQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        verbose_name, verbose_name_plural = _("knife"), _("knives")
        indexes = [models.Index(fields=["stage"], name="knife_by_stage")]

    def __str__(self) -> str:
        return f"{self.serial} {self.name}"

    def get_absolute_url(self) -> str:
        return reverse("knife", args=[self.serial])


class StageEvent(models.Model):
    """A move of a knife, kept for good: who, when, which gate, why corrected."""

    knife = models.ForeignKey(Knife, models.PROTECT, related_name="events")
    came_from = models.CharField(max_length=10, choices=choices.stage, blank=True)
    stage = models.CharField(max_length=10, choices=choices.stage)
    gate_passed = models.BooleanField(default=False)
    correction = models.BooleanField(default=False)
    reason = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]  # by number, not by time: clocks go back

    def __str__(self) -> str:
        return f"{self.came_from or '-'} > {self.stage}"
