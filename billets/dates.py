"""The box of a form that reads a day, in the spellings a shop uses."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy

from billets.grammar import UnitError
from billets.messages import sentence
from billets.physics.errors import _
from billets.text import clean_text

FIRST_DAY = dt.date(1990, 1, 1)
YEARS_AHEAD = 10
"""A day outside could be saved on one database and break every list with it."""


def _today() -> dt.date:
    return timezone.localdate()


_ISO = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_DOTS = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4}|[0-9]{2})")
_STROKES = re.compile(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4})")


class DateField(forms.DateField):
    """A day between 1990 and ten years from today: 2026-11-25, 25.11.2026, 25/11/2026.

    With strokes some countries put the day first and others the month; where both
    would do, the box asks, naming both days in words.
    """

    widget = forms.DateInput(
        format="%Y-%m-%d", attrs={"autocomplete": "off", "spellcheck": "false"}
    )

    def __init__(self, *, today: Callable[[], dt.date] = _today, **kwargs: Any) -> None:
        self.today = today
        super().__init__(**kwargs)
        self.error_messages["required"] = gettext_lazy(
            "Type a date here, such as 2026-11-25."
        )

    def to_python(self, value: Any) -> dt.date | None:
        """Read a date, or raise with a sentence that says how to type it."""
        if isinstance(value, dt.datetime):
            value = value.date()
        if value is None or isinstance(value, dt.date):
            return value
        text = clean_text(str(value))
        if not text:
            return None
        try:
            return self._within(_read_date(text))
        except UnitError as error:
            code = "ask" if error.asks else "unreadable"
            raise ValidationError(sentence(error), code=code) from error

    def _within(self, day: dt.date) -> dt.date:
        last = _years_on(self.today(), YEARS_AHEAD)
        if not FIRST_DAY <= day <= last:
            raise UnitError(
                _("Type a date from {first} to {last}."), first=FIRST_DAY, last=last
            )
        return day


def _years_on(day: dt.date, years: int) -> dt.date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return day.replace(year=day.year + years, day=28)


def _read_date(text: str) -> dt.date:
    if found := _STROKES.fullmatch(text):
        return _read_strokes(text, *(int(part) for part in found.groups()))
    if found := _ISO.fullmatch(text):
        year, month, day = (int(part) for part in found.groups())
        return _day(text, year, month, day)
    if found := _DOTS.fullmatch(text):
        day, month, year = (int(part) for part in found.groups())
        return _day(text, year + 2000 if year < 100 else year, month, day)
    raise _no_date(text)


def _read_strokes(text: str, first: int, second: int, year: int) -> dt.date:
    days = {
        _day(text, year, month, day)
        for day, month in ((first, second), (second, first))
        if 1 <= month <= 12
    }
    if not days:
        raise _no_date(text)
    if len(days) == 1:
        return days.pop()
    one, other = sorted(days)
    raise UnitError(
        _(
            "“{text}” can be read two ways: type {first} for {first_day} or {second} "
            "for {second_day}."
        ),
        text=text,
        first=one.isoformat(), first_day=one,
        second=other.isoformat(), second_day=other,
    )  # fmt: skip


def _day(text: str, year: int, month: int, day: int) -> dt.date:
    try:
        return dt.date(year, month, day)
    except ValueError:
        raise _no_date(text) from None


def _no_date(text: str) -> UnitError:
    return UnitError(
        _("“{text}” is no day of the calendar: type it like 2026-11-25 or 25.11.2026."),
        text=text[:24],
    )
