"""Weeks, as a smith promises them."""

from __future__ import annotations

import datetime as dt

from babel.dates import format_date
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import locale_of


def monday_of(day: dt.date) -> dt.date:
    """Return the Monday of a day's week.

    >>> monday_of(dt.date(2026, 3, 8)), monday_of(dt.date(2026, 3, 9))
    (datetime.date(2026, 3, 2), datetime.date(2026, 3, 9))
    """
    return day - dt.timedelta(days=day.weekday())


def in_words(monday: dt.date) -> str:
    """Write a week in the language of the page: its number, first and last day."""
    sunday = monday + dt.timedelta(days=6)
    return _("week {number}, Monday {first} to Sunday {last}").format(
        number=monday.isocalendar().week,
        first=format_date(monday, "long", locale=locale_of(spoken())),
        last=format_date(sunday, "long", locale=locale_of(spoken())),
    )
