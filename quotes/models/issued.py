"""What has been promised on paper: frozen when issued, never changed after."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from quotes import choices
from shop.models import Knife, Order


class Paper(models.Model):
    """A PDF as it was made; the file's name is the SHA-256 of its bytes."""

    sha256 = models.CharField(max_length=64, db_index=True)
    media = models.CharField(max_length=8, choices=choices.paper_media)
    kind = models.CharField(max_length=8, choices=choices.paper_kind)
    order = models.ForeignKey(Order, models.PROTECT, related_name="papers")
    knife = models.ForeignKey(Knife, models.PROTECT, related_name="papers", null=True)
    revision = models.PositiveIntegerField()
    # What the paper says, without the day it was printed: equal content, same revision.
    content = models.CharField(max_length=64, blank=True)
    made_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "knife", "revision"], name="one_sheet_a_revision"
            ),
            models.UniqueConstraint(
                fields=["kind", "order", "revision"],
                condition=models.Q(knife=None),
                name="one_paper_a_revision",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.revision}"

    def get_absolute_url(self) -> str:
        return reverse("paper", args=[self.pk])


class Quote(models.Model):
    """One revision of a quote as it was issued."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="quotes")
    revision = models.PositiveIntegerField()
    issued_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )
    valid_until = models.DateField()
    # Fixed price or estimate; amounts read with tax ("gross") or before it ("net").
    kind = models.CharField(max_length=8, choices=choices.quote_kind, default="fixed")
    mode = models.CharField(max_length=5, choices=choices.reading, default="gross")
    regime = models.CharField(max_length=10, default="standard")
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax_rate = models.DecimalField(max_digits=5, decimal_places=2)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    deposit = models.DecimalField(max_digits=12, decimal_places=3)
    # Base and tax by rate: [{"percent": "19.00", "base": "840.34", "tax": "159.66"}].
    taxes = models.JSONField(default=list)
    # What is different from the revision before, sentence by sentence as printed.
    changes = models.JSONField(default=list)
    # All that was computed, as shown to the owner: plan, cost lines, factors, seed.
    basis = models.JSONField()
    paper = models.OneToOneField(Paper, models.PROTECT, related_name="quote")

    class Meta:
        ordering = ["-revision"]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "revision"], name="one_quote_a_revision"
            )
        ]

    def __str__(self) -> str:
        return f"{self.order.number} · {self.revision}"

    def get_absolute_url(self) -> str:
        return reverse("quote", args=[self.order.number, self.revision])


class QuoteLine(models.Model):
    """One line of a quote as the customer reads it."""

    quote = models.ForeignKey(Quote, models.PROTECT, related_name="lines")
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=choices.line_kind, default="knife")
    serial = models.CharField(max_length=8, blank=True)
    label = models.CharField(max_length=200)
    detail = models.TextField(blank=True)
    # As the customer reads it; what is taken off stands below zero.
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    net = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    gross = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    percent = models.DecimalField(max_digits=5, decimal_places=2, null=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote", "position"], name="one_line_a_place"
            )
        ]

    def __str__(self) -> str:
        return self.label


class QuoteOption(models.Model):
    """One of several ways to have it, whole: the customer chooses one."""

    quote = models.ForeignKey(Quote, models.PROTECT, related_name="options")
    position = models.PositiveIntegerField()
    label = models.CharField(max_length=80)
    detail = models.TextField(blank=True)
    # What its knife is made with instead, by column; of the first option nothing.
    serial = models.CharField(max_length=8, blank=True)
    values = models.JSONField(default=dict)
    mass = models.FloatField()
    balance = models.FloatField()
    # As the customer reads it, and the whole quote with it.
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    deposit = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote", "position"], name="one_option_a_place"
            )
        ]

    def __str__(self) -> str:
        return self.label


class QuoteAnswer(models.Model):
    """What the customer said to a quote; at most one answer a revision."""

    quote = models.OneToOneField(Quote, models.PROTECT, related_name="answer")
    accepted = models.BooleanField(_("accepted"))
    option = models.ForeignKey(
        QuoteOption, models.PROTECT, related_name="answers", null=True
    )
    # Said on the private page: the name typed there.
    typed_name = models.CharField(max_length=120, blank=True)
    # The paper the answer was given to.
    sha256 = models.CharField(max_length=64, blank=True)
    note = models.CharField(_("how it was said"), max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    def __str__(self) -> str:
        return "accepted" if self.accepted else "declined"
