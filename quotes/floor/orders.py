"""A floor price kept: customer, order, knife and billet, all of it or nothing."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields
from typing import Any

from babel.dates import format_date, format_time
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from billets.choices import pattern_class
from billets.messages import spoken
from billets.models import Plan
from billets.physics.knife_spec import KnifeSpec
from billets.plan_steps import step_values
from billets.services import plan_spec, save_plan
from billets.template_fit import step_changes
from billets.units import locale_of
from quotes.floor.answer import FloorPrice
from quotes.floor.knife import HANDLE_CLASSES, class_of
from shop import services
from shop.models import Knife, Order
from shop.usual import HARDNESS

NOT_KEPT = ("steel_density",)
"""What the core's knife has and a row has not."""

CALLER_TITLE = gettext_noop("{knife}, {pattern}: {caller}")
"""The name of a caller's billet; ``quotes.privacy.billet_names`` reads it again."""


@transaction.atomic
def save_draft(
    found: FloorPrice, caller: str, *, by: User | None, at: dt.datetime
) -> Order:
    """Open an enquiry for a knife at the price it was told for.

    With its customer, who gets the day and time for a name where none was said, and a
    copy of the template as it was fitted.
    """
    customer = services.save_customer(
        {
            "name": caller or caller_at(at),
            "unnamed": not caller,
            "language": spoken(),
        }
    )
    order = services.open_order(
        customer=customer,
        wish=_wish(found),
        promised_week=None,
        knives=[_knife_values(found)],
        by=by,
        at=at,
    )
    told = {"wanted_week": found.asked.wanted, "named_price": found.asked.named}
    services.change_order(order, told)
    knife = Knife.objects.for_list().get(order=order)
    services.assign_plan(knife, _copied(found, customer.name))
    return order


def caller_at(at: dt.datetime) -> str:
    """Return what a customer is called of whom only the call is known."""
    moment, locale = timezone.localtime(at), locale_of(spoken())
    day = format_date(moment.date(), "d MMMM", locale=locale)
    clock = format_time(moment.time(), "HH:mm", locale=locale)
    return _("Caller, {day}, {time}").format(day=day, time=clock)


def _wish(found: FloorPrice) -> str:
    return _("Asked for by telephone: {knife}, {pattern}, {handle}.").format(
        knife=found.name,
        pattern=_pattern(found),
        handle=HANDLE_CLASSES[class_of(found.spec)].spoken,
    )


def _pattern(found: FloorPrice) -> str:
    return str(dict(pattern_class())[found.asked.pattern])


def _knife_values(found: FloorPrice) -> dict[str, Any]:
    spec = found.spec
    sizes = {
        one.name: getattr(spec, one.name)
        for one in fields(KnifeSpec)
        if one.name not in NOT_KEPT
    }
    own = {"ferrule": spec.ferrule or "", "name": found.name}
    return sizes | own | {"hardness": float(HARDNESS), "typed": {}}


def _copied(found: FloorPrice, caller: str) -> Plan:
    """Return the fitted template as a billet of its own."""
    template, spec = found.template, found.figures.spec
    title = _(CALLER_TITLE).format(
        knife=found.name, pattern=_pattern(found), caller=caller
    )
    plan = Plan(
        title=title[:80],
        order=spec.order,
        length=spec.length,
        width=spec.width,
        forge=template.forge,
        tool=template.tool,
        saw=template.saw,
        bath=template.bath,
        seed=template.seed,
        chance=template.chance,
        hot_tick=template.hot_tick,
        note=template.note,
        typed={key: text for key, text in template.typed.items() if key != "length"},
    )
    bars = {row.letter: row.bar for row in template.bars.all()}
    return save_plan(plan, bars, _steps(found))


def _steps(found: FloorPrice) -> list[dict[str, Any]]:
    """Return the template's steps with what fitting changed; its text goes with it."""
    changes = step_changes(plan_spec(found.template), found.figures.spec)
    rows = []
    for row, new in zip(found.template.steps.all(), changes, strict=True):
        typed = {name: text for name, text in row.typed.items() if name not in new}
        rows.append(step_values(row) | new | {"typed": typed})
    return rows
