"""What a shop sets: itself, its rates, its tax, what its papers say."""

from __future__ import annotations

import datetime as dt

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop import choices


class Shop(models.Model):
    """The one row about the shop itself, printed on its papers."""

    name = models.CharField(_("name of the shop"), max_length=80, default="My forge")
    owner = models.CharField(_("owner"), max_length=80, blank=True)
    address = models.TextField(_("address"), blank=True, max_length=400)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    tax_number = models.CharField(_("tax number"), max_length=40, blank=True)
    country = models.CharField(_("country, two letters"), max_length=2, blank=True)
    vat_number = models.CharField(_("VAT number"), max_length=20, blank=True)
    legal_id = models.CharField(
        _("number in a trade register"), max_length=40, blank=True
    )
    account_holder = models.CharField(_("account holder"), max_length=70, blank=True)
    iban = models.CharField(_("IBAN"), max_length=42, blank=True)
    bic = models.CharField(_("BIC"), max_length=11, blank=True)
    site = models.URLField(
        _("address under which customers reach this shop"), blank=True
    )
    deposit_covers = models.BooleanField(
        _("the deposit covers at least what is spent before a bad weld can show"),
        default=False,
    )
    deposit_locks = models.BooleanField(
        _("no work at the forge before the deposit is here"), default=False
    )
    currency = models.CharField(
        _("currency"), max_length=3, default="EUR", choices=choices.currency
    )
    units = models.CharField(
        _("units"), max_length=6, default="metric", choices=choices.units
    )
    language = models.CharField(
        _("language"), max_length=2, default="en", choices=choices.language
    )
    paper = models.CharField(
        _("paper"), max_length=6, default="A4", choices=choices.paper
    )
    validity_days = models.PositiveIntegerField(
        _("a quote holds, days"),
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
    )
    extinguisher = models.CharField(
        _("where the fire extinguisher hangs"), max_length=80, blank=True
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name = verbose_name_plural = _("shop")
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_shop")
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Shop:
        """Return the shop's row, or one of defaults before the first run."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class RateQuerySet(models.QuerySet["Rate"]):
    def on(self, day: dt.date) -> dict[str, Rate]:
        """Return the row in force on a day for every key that has one."""
        rows = self.filter(valid_from__lte=day).order_by("key", "valid_from")
        return {row.key: row for row in rows}


class Rate(models.Model):
    """One price, hour or share of the shop, valid from a day on."""

    key = models.CharField(_("rate"), max_length=60)
    value = models.DecimalField(_("value"), max_digits=12, decimal_places=4)
    valid_from = models.DateField(_("valid from"))
    note = models.CharField(_("note"), max_length=200, blank=True)

    objects = RateQuerySet.as_manager()

    class Meta:
        ordering = ["key", "-valid_from"]
        verbose_name, verbose_name_plural = _("rate"), _("rates")
        permissions = [("see_prices", "May see costs and prices")]
        constraints = [
            models.UniqueConstraint(fields=["key", "valid_from"], name="one_rate_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.value}"


class TaxSettingQuerySet(models.QuerySet["TaxSetting"]):
    def on(self, day: dt.date) -> TaxSetting | None:
        """Return the setting in force on a day."""
        return self.filter(valid_from__lte=day).order_by("-valid_from", "-pk").first()


class TaxSetting(models.Model):
    """How the shop is taxed from a day on; a setting, never a verdict."""

    regime = models.CharField(_("regime"), max_length=10, choices=choices.tax_regime)
    rate = models.DecimalField(
        _("rate, %"), max_digits=5, decimal_places=2,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # fmt: skip
    valid_from = models.DateField(_("valid from"))
    note = models.CharField(_("note printed on papers"), max_length=300, blank=True)

    objects = TaxSettingQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        verbose_name, verbose_name_plural = _("tax setting"), _("tax settings")

    def __str__(self) -> str:
        return f"{self.regime} {self.rate} %"


class PaperText(models.Model):
    """What papers say about one thing in one language, from a day on."""

    key = models.CharField(_("what it is about"), max_length=12)
    language = models.CharField(_("language"), max_length=2, choices=choices.language)
    valid_from = models.DateField(_("valid from"))
    text = models.TextField(_("text"), blank=True, max_length=3000)

    class Meta:
        ordering = ["key", "language", "-valid_from"]
        verbose_name, verbose_name_plural = _("text of papers"), _("texts of papers")
        constraints = [
            models.UniqueConstraint(
                fields=["key", "language", "valid_from"], name="one_text_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.language} {self.valid_from}"
