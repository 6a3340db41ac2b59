"""A change the customer wants after the yes, with the yes or no to it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop import choices
from shop.models.orders import Knife, Order


class AgreedChange(models.Model):
    """One change: what is wanted, what it costs, what was said to it."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="changes")
    knife = models.ForeignKey(
        Knife, models.PROTECT, related_name="changes", null=True, blank=True
    )
    wish = models.TextField(_("what the customer wants"), max_length=4000)
    # Columns of the knife as they would be, and the gates it has passed.
    values = models.JSONField(default=dict, editable=False)
    passed = models.JSONField(default=list, editable=False)
    # Tax included where there is one; below zero it becomes cheaper.
    more = models.DecimalField(_("more to pay"), max_digits=12, decimal_places=3)
    fee = models.DecimalField(
        _("fee for the change"), max_digits=12, decimal_places=3, default=0
    )
    new_week = models.DateField(_("new week"), null=True, blank=True)
    state = models.CharField(
        max_length=8, choices=choices.change_state, default="open", editable=False
    )
    how = models.CharField(_("how it was said"), max_length=200, blank=True)
    made_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.wish[:40]
