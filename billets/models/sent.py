"""Forms that have been carried out."""

from __future__ import annotations

from django.db import models


class SubmittedForm(models.Model):
    """A form that has been carried out, so that sending it twice does nothing more."""

    key = models.CharField(max_length=64, unique=True)
    digest = models.CharField(max_length=64)
    leads_to = models.CharField(max_length=400)
    at = models.DateTimeField(auto_now_add=True, db_index=True)

    def __str__(self) -> str:
        return self.leads_to
