"""What a quote was made from, as JSON: kept with it, shown later, never recomputed.

It holds all that is needed to compute the same again: knives, billets with the shop's
factors and the seed of the draws, every rate with the day it counts from, and the cost
line by line. Measured values are SI floats, money and rates are text, so that no digit
is lost.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from decimal import Decimal
from typing import Any

from billets.figures import PlanFigures
from billets.physics import Number
from billets.physics.uncertainty import Band
from quotes.cost_items import blade_gas
from quotes.costing import CostLine, CostLines
from quotes.hours import HoursEstimate
from quotes.pricing import PricedOrder, plan_of, titles_of
from quotes.risks.of_price import kept_risk
from quotes.terms.offering import offered_on
from quotes.year.items import YEAR_ITEM_OF
from shop.models import Knife, Rate
from shop.services import spec_of

Json = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostSheet:
    """Cost up to the net price, as it is shown and as it is kept.

    Attributes
    ----------
    lines : tuple of CostLine
        What the work costs if nothing fails.
    direct : Decimal
        Their sum.
    risk : CostLine
        The share of failures.
    one_in : Decimal or None
        One knife in so many fails.
    cost, margin, net : Decimal
        With the share of failures; what is added; their sum.
    hours : tuple of HoursEstimate
        Attended hours by row, and their sum.
    """

    lines: tuple[CostLine, ...]
    direct: Decimal
    risk: CostLine
    one_in: Decimal | None
    cost: Decimal
    margin: Decimal
    net: Decimal
    hours: tuple[HoursEstimate, ...]


def cost_sheet(lines: CostLines) -> CostSheet:
    """Return the cost behind a price."""
    price = lines.price
    return CostSheet(
        lines=lines.lines, direct=lines.direct, risk=lines.risk, one_in=lines.one_in,
        cost=price.cost, margin=price.margin, net=price.net, hours=lines.hours,
    )  # fmt: skip


def kept_cost_sheet(basis: Mapping[str, Any], option: int = 1) -> CostSheet:
    """Return the cost a quote was issued with, or that of an option by its place.

    Quotes that did not keep the costs of options have those of the first one.
    """
    options = basis.get("option_costs", ())
    there = 1 < option <= len(options)
    kept = dict(options[option - 1] if there else basis["cost"])
    one_in = kept.pop("one_in")
    return CostSheet(
        lines=tuple(_cost_line(line) for line in kept.pop("lines")),
        risk=_cost_line(kept.pop("risk")),
        hours=tuple(_hours(row) for row in kept.pop("hours")),
        one_in=None if one_in is None else Decimal(one_in),
        **{name: Decimal(text) for name, text in kept.items()},
    )


def _cost_line(kept: Mapping[str, str]) -> CostLine:
    numbers = {name: Decimal(kept[name]) for name in ("quantity", "rate", "amount")}
    read: dict[str, Any] = {**kept, **numbers}
    return CostLine(**read)


def _hours(kept: Mapping[str, str]) -> HoursEstimate:
    numbers = {name: Decimal(kept[name]) for name in ("expected", "low", "high")}
    p80, count = kept.get("p80"), int(kept.get("count", 0))
    return HoursEstimate(
        row=kept["row"], label=kept["label"], count=count,
        p80=None if p80 is None else Decimal(p80), **numbers,
    )  # fmt: skip


def knife_basis(knife: Knife) -> Json:
    """Return what was promised of a knife, as it is kept."""
    return {
        "serial": knife.serial, "spec": plain(spec_of(knife)),
        "hardness": knife.hardness, "finish": knife.finish,
    }  # fmt: skip


def basis_of(priced: PricedOrder) -> Json:
    """Return everything a price was made from."""
    titles, asked = titles_of(priced.knives), offered_on(priced)
    return {
        "day": priced.day.isoformat(),
        "knives": [
            {
                **knife_basis(knife), "name": knife.name,
                "billet": plan_of(knife).pk,
                "mass": float(result.mass), "balance": float(result.balance),
            }
            for knife, result in priced.knives
        ],
        "billets": [
            {
                "number": pk, "title": titles[pk], **_billet(figures),
                "forecast": _forecast(figures, blade_gas(billet, priced.rates)),
            }
            for (pk, figures), billet in zip(
                priced.plans.items(), priced.job.billets, strict=True
            )
        ],
        "rates": _rates(priced),
        "cost": plain(cost_sheet(priced.lines)),
        "option_costs": [
            plain(cost_sheet(one.priced.lines)) for one in asked.choices
        ],
        "deposit": plain(asked.deposit),
        "price": plain(priced.lines.price),
        "by_knife": plain(priced.lines.knives),
        "risk": kept_risk(priced),
    }  # fmt: skip


def _billet(figures: PlanFigures) -> Json:
    sampled, verdict = figures.sampled, figures.verdict
    return {
        "spec": plain(figures.spec),
        "targets": plain(figures.targets),
        "factors": plain(figures.beliefs.factors),
        "weighed_billets": figures.beliefs.billets,
        "seed": sampled.seed,
        "draws": sampled.draws,
        "bar_mass": float(figures.plain.bar_mass),
        "verdict": plain(verdict) if verdict else None,
    }


def _forecast(figures: PlanFigures, blade: Decimal) -> Json:
    """Return what can be weighed of a billet, with its band [kg].

    What is bought is more than what is stacked, where bars are ripped narrower. The
    gas is that of the billet and of forging its blades, as a bottle on a scale shows.
    """
    result, totals = figures.plain, figures.sampled.totals
    blades = len(figures.targets) * float(blade)
    return {
        "stack": float(result.start_mass) + float(result.added),
        "bought": sum(item.mass for item in figures.cuts),
        "bar": _band(result.bar_mass, totals["bar_mass"], 0.0),
        "gas": _band(result.gas, totals["gas"], blades),
    }


def _band(middle: Number, band: Band, more: float) -> Json:
    ends = {"low": band.low, "middle": float(middle), "high": band.high}
    return {name: end + more for name, end in ends.items()}


def _rates(priced: PricedOrder) -> Json:
    """Return every rate that was in force, and what was learned beside them."""
    rows = Rate.objects.on(priced.day)
    return {
        "currency": priced.rates.currency,
        "tax": plain(priced.rates.tax),
        "values": {
            key: {"value": str(row.value), "from": row.valid_from.isoformat()}
            for key, row in rows.items()
            if key not in YEAR_ITEM_OF  # what the owner wants to earn is kept nowhere
        },
        "learned": plain(priced.rates.learned),
    }


def plain(value: Any) -> Any:
    """Return a value as JSON can hold it; a step of a billet says its kind.

    >>> plain({"rate": Decimal("50.00"), "day": dt.date(2026, 3, 2)})
    {'rate': '50.00', 'day': '2026-03-02'}
    """
    if is_dataclass(value) and not isinstance(value, type):
        kind = {"kind": value.kind} if hasattr(value, "kind") else {}
        names = [field.name for field in fields(value)]
        return kind | {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, dt.date):
        return value.isoformat()
    if value is None or isinstance(value, str | bool | int):
        return value
    return str(value) if isinstance(value, Decimal) else _finite(float(value))


def _finite(value: float) -> float | None:
    """Return a number JSON can hold; a limit that is none is left out."""
    return value if abs(value) < float("inf") else None
