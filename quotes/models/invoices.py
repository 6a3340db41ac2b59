"""Invoices: issued once, cancelled only by another, frozen like quotes."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from quotes import choices
from quotes.models.issued import Paper, Quote
from shop.models import Order


class Invoice(models.Model):
    """An invoice as it was issued; terms of EN 16931 in brackets."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="invoices")
    quote = models.ForeignKey(Quote, models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=8, choices=choices.invoice_kind)
    number = models.CharField(max_length=20, unique=True)  # BT-1
    issued_on = models.DateField()  # BT-2
    supplied_on = models.DateField(null=True)  # BT-72
    due_on = models.DateField(null=True)  # BT-9
    currency = models.CharField(max_length=3)  # BT-5
    regime = models.CharField(max_length=10)
    # Who sells and who buys, as printed: name, address, country, numbers (BG-4, BG-7).
    seller = models.JSONField()
    buyer = models.JSONField()
    net = models.DecimalField(max_digits=12, decimal_places=3)  # BT-109
    tax = models.DecimalField(max_digits=12, decimal_places=3)  # BT-110
    gross = models.DecimalField(max_digits=12, decimal_places=3)  # BT-112
    paid = models.DecimalField(max_digits=12, decimal_places=3)  # BT-113
    due = models.DecimalField(max_digits=12, decimal_places=3)  # BT-115
    # Base and tax by rate, and why there is none (BG-23).
    taxes = models.JSONField()
    note = models.TextField(blank=True)
    cancels = models.OneToOneField(
        "self", models.PROTECT, related_name="cancelled_by", null=True
    )
    paper = models.OneToOneField(Paper, models.PROTECT, related_name="invoice")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.number


class InvoiceLine(models.Model):
    """One line of an invoice (BG-25)."""

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="lines")
    position = models.PositiveIntegerField()  # BT-126
    kind = models.CharField(max_length=10)  # line, allowance, charge
    label = models.CharField(max_length=200)  # BT-153
    detail = models.TextField(blank=True)
    quantity = models.DecimalField(max_digits=8, decimal_places=3, default=1)  # BT-129
    net = models.DecimalField(max_digits=12, decimal_places=3)  # BT-131
    percent = models.DecimalField(max_digits=5, decimal_places=2)  # BT-152
    category = models.CharField(max_length=2)  # BT-151

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return self.label


class DeductedAdvance(models.Model):
    """An advance taken off a final invoice, with its tax."""

    final = models.ForeignKey(Invoice, models.PROTECT, related_name="advances")
    advance = models.ForeignKey(Invoice, models.PROTECT, related_name="deducted_in")
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    gross = models.DecimalField(max_digits=12, decimal_places=3)
    received_on = models.DateField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.final.number} - {self.advance.number}"
