"""Dates, stages and lists of words as pages write them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from babel.dates import format_date, format_skeleton
from django import template
from django.utils import timezone
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import locale_of
from shop import stages
from shop.models import Knife, Order

register = template.Library()


@register.filter
def day(value: dt.date | dt.datetime | None) -> str:
    """Write a day: 2 Mar 2026."""
    if value is None:
        return "–"
    if isinstance(value, dt.datetime):
        value = timezone.localtime(value).date()
    return format_date(value, "medium", locale=locale_of(spoken()))


@register.filter
def moment(value: dt.datetime) -> str:
    """Write a time of a day: 2 Mar 2026, 14:05."""
    return f"{day(value)}, {timezone.localtime(value):%H:%M}"


@register.filter
def week_of(monday: dt.date | None) -> str:
    """Write the week that begins on a Monday."""
    if monday is None:
        return _("no week promised")
    return _("week of {day}").format(day=day(monday))


@register.filter
def short_day(value: dt.date | dt.datetime) -> str:
    """Write a day of these months, which no line may part: 2 Mar."""
    if isinstance(value, dt.datetime):
        value = timezone.localtime(value).date()
    written = format_skeleton("MMMd", value, locale=locale_of(spoken()))
    return written.replace(" ", "\u00a0")


@register.filter
def short_week(monday: dt.date | None) -> str:
    """Write a week of these months."""
    if monday is None:
        return _("no week promised")
    return _("week of {day}").format(day=short_day(monday))


@register.filter
def named(label: object, error: object) -> str:
    """Put the name of a box before what is wrong in it, unless that begins with it."""
    name, said = str(label), str(error)
    return said if name and said.startswith(name) else f"{name}: {said}"


@register.filter
def names_of(knives: Iterable[Knife]) -> str:
    """Write the names of knives that are still meant to be made."""
    return ", ".join(one.name for one in knives if one.stage not in stages.EXITS)


@register.filter
def what_next(order: Order) -> str:
    """Say what an enquiry waits for: a billet for each knife, then the quote."""
    knives = [one for one in order.knives.all() if one.stage not in stages.EXITS]
    if knives and all(one.target.plan_id for one in knives):
        return _("The billet is planned: check the price and issue the quote.")
    return _("Plan the billet and name a price.")


@register.filter
def stage_words(knife: Knife) -> str:
    """Write where a knife stands."""
    return str(knife.get_stage_display() or _("not started"))
