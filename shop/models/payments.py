"""Money received for an order, or paid back; added to, taken back, never changed."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models.orders import Order
from shop.models.work import Written


class Payment(Written):
    """An amount that arrived on a day, or went back to the customer on it."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="payments")
    amount = models.DecimalField(
        _("amount received"), max_digits=12, decimal_places=3,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    received_on = models.DateField(_("received on"))
    reference = models.CharField(_("reference"), max_length=80, blank=True)
    back = models.BooleanField(_("paid back"), default=False)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.order.number} {self.signed}"

    @property
    def signed(self) -> Decimal:
        """The amount as it counts: below zero where it was paid back."""
        return -self.amount if self.back else self.amount
