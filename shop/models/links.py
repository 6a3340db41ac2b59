"""The customer's private page: its links, guesses at them, and what was asked there."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models.orders import Order


class CustomerLink(models.Model):
    """A way into one order's private page; only the digest of its token is kept."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="links")
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )
    expires_on = models.DateField(_("works until"))
    revoked_at = models.DateTimeField(null=True, editable=False)
    # When the customer last did something there; looking alone changes nothing.
    used_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.order.number} {self.expires_on}"


class LinkGuess(models.Model):
    """A token nobody was given, asked for from an address; old ones are deleted."""

    address = models.GenericIPAddressField()
    at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.address} {self.at}"


class CustomerQuestion(models.Model):
    """What a customer asked on the private page."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="questions")
    text = models.TextField(_("question"), max_length=4000)
    at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.text[:40]
