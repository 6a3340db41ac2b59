"""Pictures of a knife: kept clean of whatever the camera wrote into them."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop import choices
from shop.models.orders import Knife
from shop.models.work import Written


class Photo(Written):
    """One picture, kept as a JPEG of its own making and a small one beside it.

    Both files are named by the hash of their bytes. ``name`` is what an address calls
    it: random, so that nobody can count on from one picture to the next.
    """

    knife = models.ForeignKey(Knife, models.PROTECT, related_name="photos")
    stage = models.CharField(max_length=10, choices=choices.stage, blank=True)
    name = models.CharField(max_length=22, unique=True, editable=False)
    sha256 = models.CharField(max_length=64, editable=False)
    small_sha256 = models.CharField(max_length=64, editable=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    note = models.CharField(_("what it shows"), max_length=200, blank=True)
    shown = models.BooleanField(_("the customer may see it"), default=False)
    final = models.BooleanField(_("goes with the balance"), default=False)

    class Meta:
        ordering = ["-pk"]
        verbose_name, verbose_name_plural = _("photo"), _("photos")

    def __str__(self) -> str:
        return f"{self.knife.serial} {self.name}"
