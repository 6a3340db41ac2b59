"""Whoever asks for a knife."""

from __future__ import annotations

from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shop import choices


class Customer(models.Model):
    """Whoever asks for a knife."""

    name = models.CharField(_("name"), max_length=80)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    address = models.TextField(_("address"), blank=True, max_length=400)
    business = models.BooleanField(
        _("buys for a business: prices are read before tax"), default=False
    )
    country = models.CharField(_("country, two letters"), max_length=2, blank=True)
    vat_number = models.CharField(_("VAT number"), max_length=20, blank=True)
    erased = models.DateTimeField(null=True, editable=False)
    # Only a call is known of whoever has a name made up by the floor price page.
    unnamed = models.BooleanField(default=False, editable=False)
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
