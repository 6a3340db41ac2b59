"""What a knife really took: hours, and what was weighed; added to, never changed."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop import choices
from shop.models.orders import Knife


class Written(models.Model):
    """A thing written down at the bench, by whom and when, and whether taken back."""

    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )
    taken_back = models.DateTimeField(null=True, editable=False)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True,
        editable=False,
    )  # fmt: skip

    class Meta:
        abstract = True


class WorkRecord(Written):
    """Hours spent on one row of hours of a knife; those of a row add up.

    The driver is what the row's hours are in proportion to: of the billet the hours
    its plan took from the model, of all else the knife against the usual one.
    """

    knife = models.ForeignKey(Knife, models.PROTECT, related_name="work")
    stage = models.CharField(max_length=10, choices=choices.stage)
    row = models.CharField(max_length=16, choices=choices.hours_row)
    hands_on = models.DecimalField(
        _("hands on, h"), max_digits=6, decimal_places=2,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    waiting = models.DecimalField(
        _("waiting, h"), max_digits=6, decimal_places=2, default=0,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    # Done a second time after something failed: it counts as taken and teaches
    # nothing, since every price carries failures in a line of its own.
    again = models.BooleanField(
        _("done again after something went wrong"), default=False
    )
    driver = models.FloatField(default=1.0, editable=False)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["row", "knife"], name="work_by_row")]

    def __str__(self) -> str:
        return f"{self.knife.serial} {self.row} {self.hands_on}"


class Entry(Written):
    """Something weighed: steel stacked, bar, gas, finished knife; the last one counts.

    ``value`` is in kilograms; ``typed`` is what stood in the box.
    """

    knife = models.ForeignKey(Knife, models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=10, choices=choices.entry_kind)
    value = models.FloatField(validators=[MinValueValidator(0)])
    typed = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.knife.serial} {self.kind} {self.value:g}"
