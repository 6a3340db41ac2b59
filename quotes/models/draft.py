"""What a quote will say beside its knives, until it is issued."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from billets.fields import SIField
from quotes import choices
from shop import choices as shop_choices
from shop.models import Knife, Order

ZERO = Decimal(0)


class QuoteDraft(models.Model):
    """The terms of the next quote of an order.

    Amounts are as this customer reads prices: with tax, or before it for a business.
    """

    order = models.OneToOneField(Order, models.PROTECT, related_name="draft")
    currency = models.CharField(max_length=3, editable=False)
    # How the customer read amounts when these were typed.
    mode = models.CharField(
        max_length=5, choices=choices.reading, blank=True, editable=False
    )
    kind = models.CharField(
        _("the price is"), max_length=8, choices=choices.quote_kind, blank=True
    )
    # Empty: as the shop is taxed.
    regime = models.CharField(
        _("tax of this order"), max_length=10, choices=choices.order_regime, blank=True
    )
    valid_until = models.DateField(_("the quote holds until"), null=True, blank=True)
    discount_percent = models.DecimalField(
        _("discount, per cent of the knives"), max_digits=5, decimal_places=2,
        default=ZERO, validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # fmt: skip
    discount = models.DecimalField(
        _("discount, an amount"), max_digits=12, decimal_places=3, default=ZERO,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    discount_reason = models.CharField(_("what it is for"), max_length=80, blank=True)
    asked = models.DecimalField(
        _("total you want to ask"), max_digits=12, decimal_places=3, null=True,
        blank=True, validators=[MinValueValidator(0)],
    )  # fmt: skip
    step = models.DecimalField(
        _("round the total up to"), max_digits=6, decimal_places=0, default=ZERO,
        choices=choices.rounding_step,
    )  # fmt: skip
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return self.order.number


class Extra(models.Model):
    """Something charged beside the knives: a sheath, sending, the idea."""

    draft = models.ForeignKey(QuoteDraft, models.CASCADE, related_name="extras")
    position = models.PositiveIntegerField()
    key = models.CharField(_("what"), max_length=16, choices=choices.extra)
    label = models.CharField(_("in your words"), max_length=80, blank=True)
    amount = models.DecimalField(
        _("amount"), max_digits=12, decimal_places=3,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    # Empty: taxed as the knives are.
    percent = models.DecimalField(
        _("tax, per cent"), max_digits=5, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # fmt: skip

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return self.label or self.key


class Variant(models.Model):
    """Another way to have one of the knives; an empty column is as its knife says."""

    draft = models.ForeignKey(QuoteDraft, models.CASCADE, related_name="variants")
    position = models.PositiveIntegerField()
    label = models.CharField(_("name of the option"), max_length=80)
    knife = models.ForeignKey(Knife, models.CASCADE, related_name="+")
    handle = models.CharField(
        _("handle shape"), max_length=8, choices=shop_choices.handle, blank=True
    )
    handle_material = models.CharField(
        _("handle material"), max_length=20, choices=shop_choices.material, blank=True
    )
    ferrule = models.CharField(
        _("ferrule"), max_length=20, choices=choices.other_ferrule, blank=True
    )
    bolster_mass = SIField(_("bolster"), kind="mass", null=True, blank=True)
    more = models.DecimalField(
        _("more to pay for it"), max_digits=12, decimal_places=3, default=ZERO,
        validators=[MinValueValidator(0)],
    )  # fmt: skip

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return self.label
