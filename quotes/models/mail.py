"""What was written to customers: sent, failed or copied by hand."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from quotes import choices
from quotes.models.issued import Paper
from shop.models import Order, Photo


class Mail(models.Model):
    """One message about an order; kept whatever became of it."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="mails")
    kind = models.CharField(max_length=10, choices=choices.mail_kind)
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="mails", null=True)
    photos = models.ManyToManyField(Photo, related_name="mails", blank=True)
    to = models.EmailField(_("to"))
    subject = models.CharField(_("subject"), max_length=200)
    body = models.TextField(_("text"), max_length=8000)
    state = models.CharField(max_length=8, choices=choices.mail_state)
    error = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.subject
