"""The shop's commissions: customers, orders, knives and what happened to them."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from billets.fields import SIField
from billets.models import PlanTarget
from shop import choices, stages

if TYPE_CHECKING:
    from collections.abc import Iterable


class Shop(models.Model):
    """The one row about the shop itself, printed on its papers."""

    name = models.CharField(_("name of the shop"), max_length=80, default="My forge")
    owner = models.CharField(_("owner"), max_length=80, blank=True)
    address = models.TextField(_("address"), blank=True, max_length=400)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    tax_number = models.CharField(_("tax or VAT number"), max_length=40, blank=True)
    currency = models.CharField(
        _("currency"), max_length=3, default="EUR", choices=choices.currency
    )
    units = models.CharField(
        _("units"), max_length=6, default="metric", choices=choices.units
    )
    language = models.CharField(
        _("language"), max_length=2, default="en", choices=choices.language
    )
    paper = models.CharField(
        _("paper"), max_length=6, default="A4", choices=choices.paper
    )
    validity_days = models.PositiveIntegerField(
        _("a quote holds, days"),
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
    )
    extinguisher = models.CharField(
        _("where the fire extinguisher hangs"), max_length=80, blank=True
    )
    terms = models.TextField(_("terms on a quote"), blank=True, max_length=3000)
    care = models.TextField(_("care on a quote"), blank=True, max_length=3000)
    legal = models.TextField(_("legal notes on a quote"), blank=True, max_length=3000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name = verbose_name_plural = _("shop")
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_shop")
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Shop:
        """Return the shop's row, or one of defaults before the first run."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class RateQuerySet(models.QuerySet["Rate"]):
    def on(self, day: dt.date) -> dict[str, Rate]:
        """Return the row in force on a day for every key that has one."""
        rows = self.filter(valid_from__lte=day).order_by("key", "valid_from")
        return {row.key: row for row in rows}


class Rate(models.Model):
    """One price, hour or share of the shop, valid from a day on."""

    key = models.CharField(_("rate"), max_length=60)
    value = models.DecimalField(_("value"), max_digits=12, decimal_places=4)
    valid_from = models.DateField(_("valid from"))
    note = models.CharField(_("note"), max_length=200, blank=True)

    objects = RateQuerySet.as_manager()

    class Meta:
        ordering = ["key", "-valid_from"]
        verbose_name, verbose_name_plural = _("rate"), _("rates")
        permissions = [("see_prices", "May see costs and prices")]
        constraints = [
            models.UniqueConstraint(fields=["key", "valid_from"], name="one_rate_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.value}"


class TaxSettingQuerySet(models.QuerySet["TaxSetting"]):
    def on(self, day: dt.date) -> TaxSetting | None:
        """Return the setting in force on a day."""
        return self.filter(valid_from__lte=day).order_by("-valid_from", "-pk").first()


class TaxSetting(models.Model):
    """How the shop is taxed from a day on; a setting, never a verdict."""

    regime = models.CharField(_("regime"), max_length=10, choices=choices.tax_regime)
    rate = models.DecimalField(
        _("rate, %"), max_digits=5, decimal_places=2,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # fmt: skip
    valid_from = models.DateField(_("valid from"))
    note = models.CharField(_("note printed on papers"), max_length=300, blank=True)

    objects = TaxSettingQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        verbose_name, verbose_name_plural = _("tax setting"), _("tax settings")

    def __str__(self) -> str:
        return f"{self.regime} {self.rate} %"


class Customer(models.Model):
    """Whoever asks for a knife."""

    name = models.CharField(_("name"), max_length=80)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    address = models.TextField(_("address"), blank=True, max_length=400)
    language = models.CharField(
        _("language of papers"), max_length=2, default="en", choices=choices.language
    )
    note = models.TextField(_("note"), blank=True, max_length=4000)
    # SQLite folds only ASCII, so searching and sorting use Python's folding.
    folded = models.CharField(max_length=160, editable=False, db_index=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["folded"]
        verbose_name, verbose_name_plural = _("customer"), _("customers")

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("customer", args=[self.pk])

    @property
    def initials(self) -> str:
        """The first letters of the name: all a sheet that lies about may show."""
        return "".join(word[0] for word in self.name.split()[:3]).upper()


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


def folded(*texts: str) -> str:
    """Return texts as the search compares them: case folded, ß as ss."""
    return " ".join(_clean(texts)).casefold()


def _clean(texts: Iterable[str]) -> Iterable[str]:
    return (text for text in texts if text)


def holding(rows: models.QuerySet[Any], words: str) -> models.QuerySet[Any]:
    """Return the rows in whose folded text every one of some words stands."""
    for word in folded(words).split():
        rows = rows.filter(folded__contains=word)
    return rows
