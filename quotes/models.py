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
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax_rate = models.DecimalField(max_digits=5, decimal_places=2)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    deposit = models.DecimalField(max_digits=12, decimal_places=3)
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
    label = models.CharField(max_length=200)
    detail = models.TextField(blank=True)
    amount = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return self.label


class QuoteAnswer(models.Model):
    """What the customer said to a quote; at most one answer a revision."""

    quote = models.OneToOneField(Quote, models.PROTECT, related_name="answer")
    accepted = models.BooleanField(_("accepted"))
    note = models.CharField(_("how it was said"), max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    def __str__(self) -> str:
        return "accepted" if self.accepted else "declined"
