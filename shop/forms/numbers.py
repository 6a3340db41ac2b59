"""Boxes for numbers that others gave: accounts, banks, tax offices, countries.

Their check digits are looked at, so that a slip is found here and not by a bank.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any
from urllib.parse import urlsplit

from babel import Locale
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from stdnum import bic, get_cc_module, iban
from stdnum.exceptions import InvalidChecksum, InvalidLength
from stdnum.exceptions import ValidationError as NumberError

from billets.fields import TextCleanField

COPIED = {"autocomplete": "off", "spellcheck": "false", "autocapitalize": "characters"}
TERRITORIES = {
    code: name
    for code, name in Locale("en").territories.items()
    if len(code) == 2 and code.isalpha() and code not in ("EU", "EZ", "UN", "ZZ")
}
"""Countries by their two letters (ISO 3166, as CLDR has them)."""

OTHER_PREFIX = {"EL": "gr", "XI": "gb", "CHE": "ch"}
"""Prefixes of VAT numbers that are no letters of a country."""

LOCAL = ("localhost", "127.0.0.1", "::1")


class _NumberField(TextCleanField):
    """A number as it is printed somewhere, kept without spaces, in capitals."""

    widget = forms.TextInput(attrs=COPIED)

    def clean(self, value: Any) -> str:
        """Return the number as it is kept; what is wrong with it is a sentence."""
        text = "".join(str(super().clean(value)).upper().split())
        return self.checked(text) if text else text

    def checked(self, text: str) -> str:
        """Return a number that is right, else refuse it."""
        raise NotImplementedError


class IbanField(_NumberField):
    """An account, by its IBAN."""

    def checked(self, text: str) -> str:
        """Return an IBAN whose length and check digits are right."""
        # Lists of banks grow old: a bank that is new would be refused by them.
        return _tried(
            partial(iban.validate, check_country=False), text,
            digits=_("The check digits of this IBAN are wrong: copy it again, sign by "
                     "sign, from your bank's paper."),
            length=_("This IBAN has too few or too many signs: copy it again from your "
                     "bank's paper."),
            other=_("This is no IBAN: it begins with two letters and two digits, such "
                    "as DE00."),
        )  # fmt: skip


class BicField(_NumberField):
    """A bank, by its BIC."""

    def checked(self, text: str) -> str:
        """Return a BIC of eight or eleven signs with letters of a country."""
        wrong = _(
            "This is no BIC: it has 8 or 11 signs; copy it from your bank's paper."
        )
        text = _tried(bic.validate, text, digits=wrong, length=wrong, other=wrong)
        if text[4:6] not in TERRITORIES:
            raise ValidationError(wrong, code="other")
        return text


class CountryField(_NumberField):
    """A country, by its two letters."""

    def checked(self, text: str) -> str:
        """Return the letters of a country there is."""
        if text not in TERRITORIES:
            message = _("Type the two letters of a country, such as DE, AT or US.")
            raise ValidationError(message, code="country")
        return text


class VatField(_NumberField):
    """A VAT number with the letters of its country before it."""

    def checked(self, text: str) -> str:
        """Return a VAT number whose length and check digits are right.

        Of a country whose numbers cannot be looked at it is taken as it is.
        """
        prefix = next((one for one in OTHER_PREFIX if text.startswith(one)), text[:2])
        country = OTHER_PREFIX.get(prefix, prefix)
        if country.upper() not in TERRITORIES:
            message = _(
                "Begin with the letters of the country, such as DE or ATU, as the tax "
                "office writes the number."
            )
            raise ValidationError(message, code="prefix")
        module = get_cc_module(country.lower(), "vat")
        if module is None:
            return text
        bare = text if country == "ch" else text.removeprefix(prefix)
        number = _tried(
            module.validate, bare,
            digits=_("The check digit of this VAT number is wrong: copy it again, sign "
                     "by sign."),
            length=_("This VAT number has too few or too many signs: copy it again, "
                     "sign by sign."),
            other=_("This is no VAT number of that country: copy it again, sign by "
                    "sign."),
        )  # fmt: skip
        return number if country == "ch" else prefix + number


class SiteField(TextCleanField):
    """The address of a site, without a page on it."""

    widget = forms.URLInput(attrs={"autocomplete": "off", "spellcheck": "false"})

    def clean(self, value: Any) -> str:
        """Return the address without a stroke at its end."""
        text = str(super().clean(value)).rstrip("/")
        if text:
            _check_site(text)
        return text


def _check_site(text: str) -> None:
    try:
        parts = urlsplit(text)
        host, _port = parts.hostname, parts.port
    except ValueError:
        host = None
    if not host or parts.scheme not in ("http", "https") or " " in text:
        message = _("Type an address like https://forge.example.")
        raise ValidationError(message, code="site")
    if parts.path or parts.query or parts.fragment or "@" in parts.netloc:
        message = _("Type the address only up to the name, without a page behind it.")
        raise ValidationError(message, code="page")
    if parts.scheme == "http" and host not in LOCAL:
        message = _(
            "Begin with https: on the way over a network everybody could read along "
            "otherwise."
        )
        raise ValidationError(message, code="plain")


def _tried(
    check: Callable[[str], str], text: str, *,
    digits: str, length: str, other: str,
) -> str:  # fmt: skip
    try:
        return check(text)
    except InvalidChecksum as error:
        raise ValidationError(digits, code="digits") from error
    except InvalidLength as error:
        raise ValidationError(length, code="length") from error
    except NumberError as error:
        raise ValidationError(other, code="other") from error
