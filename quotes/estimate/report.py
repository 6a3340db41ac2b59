"""An estimate as JSON: exact values in grams, millimetres, minutes; money as text.

``plan.bar_g`` is the forged bar: what the last draw leaves. Where the plan goes on to
trim or grind it, ``plan.clean_g`` is what is left at the end, else null. Verdict,
chance, share kept and losses are always those of the end of the plan, so that
start + added = (clean, else bar) + losses; ``added_g`` is the steel of cores laid in.
A step names what it lost steel to first, and all of it by cause. ``spare_g`` is what is
over at the chance asked for (80 % without ``--fit``), below zero what is missing;
``enough`` also looks at length and thickness, which ``verdict.failing`` names.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext

from billets.messages import sentence
from billets.physics.errors import Flag
from billets.physics.fit import Fit
from billets.physics.losses import FirstWord, retained_by_welds
from billets.physics.plan import StepResult
from billets.physics.uncertainty import Band
from billets.units import System
from billets.wording import CAUSES
from quotes.costing import deposit_flag
from quotes.estimate.chain import Estimate, Knife
from quotes.estimate.keys import knife_key, money_key, plan_key
from quotes.hours import HoursEstimate

GRAMS, MILLIMETRES, MINUTE, HOUR = 1000.0, 1000.0, 60.0, 3600.0
MOST_WELDS = 8
"""Beyond so many welds the told cases say nothing."""

Json = dict[str, Any]


def as_json(done: Estimate) -> Json:
    """Return everything that was computed."""
    return {
        "knives": [_knife(one) for one in done.knives],
        "plan": _plan(done),
        "cost": _cost(done),
        "price": _price(done),
        "rates": {
            "source": done.rates.source,
            "valid_from": done.rates.valid_from.isoformat(),
            "overridden": list(done.rates.overridden),
        },
        "warnings": warnings_of(done),
        "calibrated_from_billets": done.plan.beliefs.billets,
        "seed": done.seed,
    }


def _knife(knife: Knife) -> Json:
    entry, _spec, result = knife
    return {
        "name": entry.name,
        "blade_g": result.blade_mass * GRAMS,
        "knife_g": result.mass * GRAMS,
        "knife_g_low": result.mass_low * GRAMS,
        "knife_g_high": result.mass_high * GRAMS,
        "blank_g": result.blank.mass * GRAMS,
        "needed_g": result.blank.needed * GRAMS,
        "balance_mm": result.balance * MILLIMETRES,
        "balance_mm_low": result.balance_low * MILLIMETRES,
        "balance_mm_high": result.balance_high * MILLIMETRES,
    }


# --- the billet ------------------------------------------------------------------


def _plan(done: Estimate) -> Json:
    plain, totals = done.plan.plain, done.plan.sampled.totals
    clean = float(plain.clean_mass) * GRAMS if plain.clean else None
    return {
        "start_g": float(plain.start_mass) * GRAMS,
        "added_g": float(plain.added) * GRAMS,
        "bar_g": float(plain.bar_mass) * GRAMS,
        **_ends("bar_g", totals["bar_mass"], GRAMS),
        "clean_g": clean,
        **(_ends("clean_g", totals["clean_mass"], GRAMS) if plain.clean else {}),
        "retained": float(plain.retained),
        **_ends("retained", totals["retained"]),
        "layers": plain.layers,
        "distinct_layers": plain.distinct,
        "heats": float(plain.heats),
        "forge_minutes": float(plain.forge_seconds) / MINUTE,
        "attended_hours": float(plain.attended_seconds) / HOUR,
        **_ends("attended_hours", totals["attended_seconds"], 1.0 / HOUR),
        "gas_kg": float(plain.gas),
        **_ends("gas_kg", totals["gas"]),
        "loss_g": {
            name: float(getattr(plain.loss, name)) * GRAMS for name in CAUSES
        },
        "steps": [_step(step) for step in plain.steps],
        **_verdict(done),
        "fit": done.fit and _fit(done.fit),
        "stack": {
            "length_mm": float(done.plan.spec.length) * MILLIMETRES,
            "order": done.plan.spec.order,
        },
        "by_welds_alone": _told(first_word(done)),
        "heat_in_steel": _heat_share(done),
    }  # fmt: skip


def _ends(name: str, band: Band, scale: float = 1.0) -> Json:
    """Return the values that one draw in ten is below, and one in ten above."""
    return {f"{name}_p10": band.low * scale, f"{name}_p90": band.high * scale}


def _step(step: StepResult) -> Json:
    seconds = float(step.heating_seconds) + float(step.working_seconds)
    return {
        "name": step.kind,
        "mass_g": float(step.mass) * GRAMS,
        "lost_g": float(step.lost) * GRAMS,
        "lost_to": step.cause,
        "lost_by_g": {cause: float(lost) * GRAMS for cause, lost in step.lost_by},
        "added_g": float(step.added) * GRAMS,
        "length_mm": float(step.length) * MILLIMETRES,
        "width_mm": float(step.width) * MILLIMETRES,
        "thickness_mm": float(step.thickness) * MILLIMETRES,
        "hot_expansion": step.expansion,
        "layers": step.layers,
        "distinct_layers": step.distinct,
        "heats": float(step.heats),
        "minutes": seconds / MINUTE,
    }


def _verdict(done: Estimate) -> Json:
    verdict = done.plan.verdict
    if verdict is None:
        return {"chance": None, "verdict": None}
    return {
        "chance": verdict.chance,
        "verdict": {
            "enough": verdict.enough,
            "asked": verdict.asked,
            "needed_g": verdict.needed * GRAMS,
            "spare_g": verdict.spare * GRAMS,
            "failing": list(verdict.failing),
        },
    }


def _fit(fit: Fit) -> Json:
    return {
        "length_mm": round(float(fit.stack.length) * MILLIMETRES),
        "median_length_mm": round(float(fit.median.length) * MILLIMETRES),
        "chance": fit.chance,
        "asked": fit.asked,
    }


def first_word(done: Estimate) -> FirstWord | None:
    """Return what told cases keep with as many welds, where there are any."""
    welds = done.plan.plain.welds
    return retained_by_welds(welds) if welds <= MOST_WELDS else None


def _told(word: FirstWord | None) -> Json | None:
    if word is None:
        return None
    return {
        "retained": word.middle,
        "retained_low": word.low,
        "retained_high": word.high,
    }


def _heat_share(done: Estimate) -> float | None:
    energy = done.plan.energy
    return float(energy.steel) / float(energy.fuel) if energy.fuel else None


# --- money and sentences ---------------------------------------------------------


def _cost(done: Estimate) -> Json:
    """Return every line; that of failures, the last, is per cent of ``direct``.

    ``hours.from`` counts the knives, or billets, a row was learned from; 0 goes by the
    three points of the rates.
    """
    return {
        "lines": [
            {
                "key": line.key,
                "label": gettext(line.label),
                "subject": line.subject,
                "quantity": str(line.quantity),
                "unit": line.unit,
                "rate": str(line.rate),
                "amount": str(line.amount),
            }
            for line in (*done.lines.lines, done.lines.risk)
        ],
        "hours": [_hours(one) for one in done.lines.hours],
        "direct": str(done.lines.direct),
        "total": str(done.lines.price.cost),
        "knives": [
            {"name": one.name, "net": str(one.net), "total": str(one.gross)}
            for one in done.lines.knives
        ],
    }


def _hours(row: HoursEstimate) -> Json:
    return {
        "row": row.row,
        "expected": str(row.expected),
        "low": str(row.low),
        "p80": str(row.p80),
        "high": str(row.high),
        "from": row.count,
    }


def _price(done: Estimate) -> Json:
    price = done.lines.price
    return {
        "margin": str(price.margin),
        "net": str(price.net),
        "tax": str(price.whole.tax),
        "total": str(price.whole.gross),
        "deposit": str(price.deposit.gross),
        "currency": done.lines.currency,
    }


def warnings_of(done: Estimate) -> list[dict[str, str]]:
    """Return what to look at twice, each with the key of the file it speaks of."""
    said = [
        (knife_key(number, flag), flag)
        for number, (_entry, _spec, result) in enumerate(done.knives, start=1)
        for flag in result.flags
    ]
    said += [(plan_key(flag, done.job), flag) for flag in done.plan.flags]
    said += [(money_key(flag, done.plan.spec.bars), flag) for flag in _deposit(done)]
    return [
        {"field": key, "message": _plain(flag, done.system), "level": flag.level}
        for key, flag in said
    ]


def _deposit(done: Estimate) -> tuple[Flag, ...]:
    lines = done.lines
    return deposit_flag(lines.price.deposit.net, lines.spent, lines.price.net)


def _plain(flag: Flag, system: System) -> str:
    """Return a sentence with the spaces of a terminal."""
    return sentence(flag, system).replace("\u00a0", " ")
