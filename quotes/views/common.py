"""What the pages of prices and quotes share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from django.urls import reverse
from django.utils.translation import gettext as _

from billets.messages import sentence
from billets.physics.errors import Flag
from billets.units import System
from billets.wording import Saying, flag_sayings
from quotes.basis import CostSheet
from quotes.gaps import Gap
from quotes.wording import (
    CostGroup,
    HoursRow,
    cost_groups,
    hours_rows,
    money_text,
    percent_text,
    risk_sentence,
)
from shop.models import Knife, Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """One thing an order lacks: the sentence, and where to mend it."""

    text: str
    url: str
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CostView:
    """Cost up to the net price as a page shows it."""

    groups: list[CostGroup]
    direct: str
    risk: str
    risk_percent: str
    risk_sentence: str
    cost: str
    margin: str
    net: str
    hours: list[HoursRow]


def cost_view(sheet: CostSheet, currency: str) -> CostView:
    """Return cost as text, of today or as kept with a quote."""
    return CostView(
        groups=cost_groups(sheet.lines, currency),
        direct=money_text(sheet.direct, currency),
        risk=money_text(sheet.risk.amount, currency),
        risk_percent=percent_text(sheet.risk.quantity),
        risk_sentence=risk_sentence(sheet.one_in),
        cost=money_text(sheet.cost, currency),
        margin=money_text(sheet.margin, currency),
        net=money_text(sheet.net, currency),
        hours=hours_rows(sheet.hours),
    )


def money_sayings(flags: Iterable[Flag], currency: str, system: System) -> list[Saying]:
    """Return what to look at twice about a price, amounts with their currency."""
    return flag_sayings(
        [replace(flag, values=_with_currency(flag, currency)) for flag in flags], system
    )


def _with_currency(flag: Flag, currency: str) -> dict[str, object]:
    return {
        name: money_text(value, currency) if isinstance(value, Decimal) else value
        for name, value in flag.values.items()
    }


def lack_of(gap: Gap, order: Order, system: System) -> Lack:
    """Return a gap as the page says it, with the page that mends it."""
    url, link = _way_out(gap, order)
    return Lack(text=sentence(gap.error, system), url=url, link=link)


def _way_out(gap: Gap, order: Order) -> tuple[str, str]:
    if gap.row is not None:
        named = _("Open {name}").format(name=gap.row)
        if isinstance(gap.row, Knife) and gap.error.field != "plan":
            return reverse("knife-edit", args=[gap.row.serial]), named
        return gap.row.get_absolute_url(), named
    ways = {
        "rates": (reverse("rates"), _("Open the rates")),
        "tax": (reverse("shop"), _("Open the shop's settings")),
        "shop": (reverse("shop"), _("Open the shop's settings")),
        "terms": (
            reverse("quote-terms", args=[order.number]),
            _("Open the terms of the quote"),
        ),
        "customer": (
            reverse("customer-edit", args=[order.customer_id]),
            _("Open the customer"),
        ),
    }
    return ways.get(gap.place, (order.get_absolute_url(), _("Open the order")))
