"""Boxes of a form that read numbers, counts, money and text the way a shop types them.

Each says in a sentence what is wrong and what to type; none of Django's own messages
appears. Numbers follow ``billets.grammar``, so 1,500 is asked about and never guessed.
"""

from __future__ import annotations

import re
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from billets.grammar import UnitError, read_number, write_number
from billets.messages import sentence, spoken
from billets.physics.errors import _
from billets.text import clean_text
from billets.units import System, decimal_mark

MOST_MONEY = Decimal("9999999.99")
MOST_COUNT = 1_000_000

CURRENCY_SIGNS = MappingProxyType({"EUR": "€", "GBP": "£", "USD": "$", "CHF": "Fr."})

OTHER_SIGNS = MappingProxyType({"€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY"})
CURRENCIES = frozenset(
    ("AUD", "CAD", "CHF", "CZK", "DKK", "EUR", "GBP", "HUF", "ISK", "JPY", "NOK",
     "NZD", "PLN", "SEK", "USD")
)  # fmt: skip
"""Money that an amount may name, be it the shop's or not."""

_LETTERS = re.compile(r"[^\W\d_]{3}")

EMPTY = gettext_lazy("This box is empty: fill it in.")


def currency_in(text: str) -> str:
    """Return the currency an amount is written in, if it names one."""
    signs = (code for sign, code in OTHER_SIGNS.items() if sign in text)
    words = (word.upper() for word in _LETTERS.findall(text))
    return next(signs, "") or next((one for one in words if one in CURRENCIES), "")


class ReadField(forms.CharField):
    """A box whose text ``read`` turns into a value, or refuses with a UnitError."""

    system: System = "metric"
    inputmode = "decimal"

    def __init__(
        self, *, min_value: Any = None, max_value: Any = None, **kwargs: Any
    ) -> None:
        self.min_value, self.max_value = min_value, max_value
        self.typed = ""
        super().__init__(empty_value=None, **kwargs)
        self.error_messages["required"] = EMPTY

    def read(self, text: str) -> Any:
        """Return the value of a text that is not empty; UnitError if it has none."""
        raise NotImplementedError

    def write(self, value: Any) -> str:
        """Return a value as the box shows it, so that ``read`` gives it back."""
        return write_number(Decimal(str(value)), decimal_mark(spoken()))

    def write_bound(self, value: Any) -> str:
        """Return a limit as a sentence names it."""
        return self.write(value)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask for the right keyboard; nothing here is spelled or completed."""
        return {
            **super().widget_attrs(widget),
            "inputmode": self.inputmode,
            "autocomplete": "off",
            "spellcheck": "false",
        }

    def to_python(self, value: Any) -> Any:
        """Read what was typed; a value that is no text passes as it is."""
        if value is not None and not isinstance(value, str):
            return value
        self.typed = clean_text(value or "")
        if not self.typed and not self.required:
            return None
        try:
            return self.read(self.typed)
        except UnitError as error:
            code = "ask" if error.asks else "unreadable"
            raise self.refusal(error, code) from error

    def validate(self, value: Any) -> None:
        """Refuse an empty box, and a value outside the limits."""
        super().validate(value)
        if value is None:
            return
        if self.min_value is not None and value < self.min_value:
            least = self.write_bound(self.min_value)
            raise self.refusal(
                UnitError(_("Type {least} or more."), least=least), "least"
            )
        if self.max_value is not None and value > self.max_value:
            high = UnitError(
                _("Type {most} or less."), most=self.write_bound(self.max_value)
            )
            raise self.refusal(high, "most")

    def refusal(self, error: UnitError, code: str) -> ValidationError:
        """Return the error as a form shows it."""
        return ValidationError(sentence(error, self.system), code=code)

    def prepare_value(self, value: Any) -> Any:
        """Show a value as the box writes it, and typed text as it was typed."""
        return value if value is None or isinstance(value, str) else self.write(value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Whether the box no longer says what it was given."""
        if clean_text(data or "") == (self.prepare_value(initial) or ""):
            return False
        try:
            before = self.to_python(initial)
            return bool(before != self.to_python(data))
        except ValidationError:
            return True


class NumberField(ReadField):
    """A plain number without a unit, as a float."""

    def read(self, text: str) -> float:
        """Read a number by the grammar."""
        return float(read_number(text))


class IntegerCountField(ReadField):
    """A count: a whole number of zero or more."""

    inputmode = "numeric"

    def __init__(
        self, *, min_value: int | None = 0, max_value: int | None = None, **kwargs: Any
    ) -> None:
        most = MOST_COUNT if max_value is None else max_value
        super().__init__(min_value=min_value, max_value=most, **kwargs)

    def read(self, text: str) -> int:
        """Read a whole number by the grammar."""
        value = read_number(text)
        if value != value.to_integral_value():
            raise UnitError(
                _("“{text}” is no whole number: type a count like {example}."),
                text=text,
                example="3",
            )
        return int(value)


class DecimalMoneyField(ReadField):
    """An amount of money, exact: never rounded, never below zero unless allowed.

    The shop's own currency sign may stand before or behind it.
    """

    def __init__(
        self,
        *,
        decimal_places: int = 2,
        max_digits: int | None = None,
        currency: str = "EUR",
        min_value: Decimal | None = Decimal(0),
        max_value: Decimal | None = None,
        **kwargs: Any,
    ) -> None:
        self.decimal_places, self.currency = decimal_places, currency
        most = MOST_MONEY if max_value is None else max_value
        if max_digits is not None:
            step = Decimal(1).scaleb(-decimal_places)
            most = min(most, Decimal(10) ** (max_digits - decimal_places) - step)
        super().__init__(min_value=min_value, max_value=most, **kwargs)

    def read(self, text: str) -> Decimal:
        """Read an amount; more places than money has are refused, not rounded."""
        self._refuse_other_money(text)
        bare = self._without_sign(text)
        try:
            value = read_number(bare)
        except UnitError as error:
            second = error.values.get("second")
            if isinstance(second, Decimal) and not self._fits(second):
                raise UnitError(
                    _(
                        "“{text}” is {first}, or has more than {places} places: type "
                        "{first} if you mean that, else at most {places} places."
                    ),
                    text=text,
                    first=error.values["first"],
                    places=self.decimal_places,
                ) from None
            raise
        if not self._fits(value):
            raise UnitError(
                _("“{text}” has more than {places} places: type at most {places}."),
                text=text,
                places=self.decimal_places,
            )
        if abs(value) > MOST_MONEY:
            return value  # too long to be brought to places, and refused as too much
        return value.quantize(Decimal(1).scaleb(-self.decimal_places))

    def write(self, value: Any) -> str:
        """Write all places, as in a price, in a form that is not asked about."""
        amount = Decimal(str(value))
        written = write_number(amount)
        whole, _dot, part = written.partition(".")
        if len(part) < self.decimal_places != 3:  # three places could be asked about
            written = f"{whole}.{part.ljust(self.decimal_places, '0')}"
        return written.replace(".", decimal_mark(spoken()))

    def _refuse_other_money(self, text: str) -> None:
        """Refuse an amount that names another currency than the shop's."""
        other = currency_in(text)
        if other and self.currency in CURRENCIES and other != self.currency:
            raise UnitError(
                _(
                    "“{text}” is in {other}, and this shop reckons in {own}: type what "
                    "it comes to in {own}."
                ),
                text=text[:24],
                other=other,
                own=self.currency,
            )

    def _without_sign(self, text: str) -> str:
        for sign in (self.currency, CURRENCY_SIGNS.get(self.currency, self.currency)):
            text = text.removeprefix(sign).removesuffix(sign).strip()
        return text

    def _fits(self, value: Decimal) -> bool:
        return abs(value) > MOST_MONEY or value == round(value, self.decimal_places)


class TextCleanField(forms.CharField):
    """Text without controls, in one normal form; several lines in a Textarea.

    The limit is a sentence, not a cut: whatever was typed stays in the box.
    """

    def __init__(self, *, max_length: int | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.most = max_length
        self.error_messages["required"] = EMPTY

    def to_python(self, value: Any) -> Any:
        """Return the text as it may be kept."""
        if value in self.empty_values:
            return self.empty_value
        lines = isinstance(self.widget, forms.Textarea)
        return clean_text(str(value), lines=lines) or self.empty_value

    def validate(self, value: Any) -> None:
        """Refuse text that is empty or longer than the limit."""
        super().validate(value)
        if self.most is not None and value and len(value) > self.most:
            error = UnitError(
                _("Use at most {limit} signs here: this has {count}."),
                limit=self.most,
                count=len(value),
            )
            raise ValidationError(sentence(error), code="max_length")
