"""An estimate as JSON with exact values, and as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from billets.messages import sentence
from billets.physics.plan import StepResult
from billets.units import show
from quotes.estimating import Estimate

GRAMS, MILLIMETRES, MINUTE, HOUR = 1000.0, 1000.0, 60.0, 3600.0


def as_json(done: Estimate) -> dict[str, Any]:
    """Return everything computed: grams, millimetres, minutes; money as text."""
    return {
        "knives": [_knife(*one) for one in done.knives],
        "plan": _plan(done),
        "cost": {
            "lines": [
                {
                    "key": line.key, "label": line.label, "subject": line.subject,
                    "quantity": str(line.quantity), "unit": line.unit,
                    "rate": str(line.rate), "amount": str(line.amount),
                }
                for line in (*done.lines.lines, done.lines.risk)
            ],
            "direct": str(done.lines.direct),
        },
        "price": {
            "net": str(done.lines.price.net),
            "tax": str(done.lines.price.whole.tax),
            "total": str(done.lines.price.whole.gross),
            "deposit": str(done.lines.price.deposit.gross),
            "currency": done.lines.currency,
        },
        "rates": {
            "source": done.rates.source,
            "valid_from": done.rates.valid_from.isoformat(),
            "overridden": list(done.rates.overridden),
        },
        "warnings": _warnings(done),
        "calibrated_from_billets": done.plan.beliefs.billets,
        "seed": done.seed,
    }  # fmt: skip


def _knife(entry: Any, _spec: Any, result: Any) -> dict[str, Any]:
    return {
        "name": entry.name,
        "blade_g": result.blade_mass * GRAMS,
        "knife_g": result.mass * GRAMS,
        "knife_g_low": result.mass_low * GRAMS,
        "knife_g_high": result.mass_high * GRAMS,
        "blank_g": result.blank.mass * GRAMS,
        "needed_g": result.blank.needed * GRAMS,
        "balance_mm": result.balance * MILLIMETRES,
    }


def _plan(done: Estimate) -> dict[str, Any]:
    plain, totals = done.plan.plain, done.plan.sampled.totals
    verdict = done.plan.verdict
    fit = done.fit and {
        "length_mm": float(done.fit.stack.length) * MILLIMETRES,
        "median_length_mm": float(done.fit.median.length) * MILLIMETRES,
        "chance": done.fit.chance,
        "asked": done.fit.asked,
    }
    return {
        "start_g": plain.start_mass * GRAMS,
        "bar_g": plain.bar_mass * GRAMS,
        "bar_g_p10": totals["bar_mass"].low * GRAMS,
        "bar_g_p90": totals["bar_mass"].high * GRAMS,
        "chance": verdict and verdict.chance,
        "retained": plain.retained,
        "layers": plain.layers,
        "distinct_layers": plain.distinct,
        "heats": plain.heats,
        "forge_minutes": plain.forge_seconds / MINUTE,
        "attended_hours": plain.attended_seconds / HOUR,
        "gas_kg": plain.gas,
        "loss_g": {
            name: getattr(plain.loss, name) * GRAMS
            for name in ("weld_scale", "draw_scale", "trim", "grind", "kerf")
        },
        "steps": [_step(step) for step in plain.steps],
        "verdict": verdict
        and {"enough": verdict.enough, "spare_g": verdict.spare * GRAMS},
        "fit": fit,
        "stack": {
            "length_mm": float(done.plan.spec.length) * MILLIMETRES,
            "order": done.plan.spec.order,
        },
    }


def _step(step: StepResult) -> dict[str, Any]:
    return {
        "name": step.kind,
        "mass_g": step.mass * GRAMS,
        "length_mm": step.length * MILLIMETRES,
        "width_mm": step.width * MILLIMETRES,
        "thickness_mm": step.thickness * MILLIMETRES,
        "layers": step.layers,
        "distinct_layers": step.distinct,
        "heats": step.heats,
        "minutes": (step.heating_seconds + step.working_seconds) / MINUTE,
    }


def _warnings(done: Estimate) -> list[dict[str, Any]]:
    knives = [
        (f"knives[{number}].{flag.field}", flag)
        for number, (_entry, _spec, result) in enumerate(done.knives, start=1)
        for flag in result.flags
    ]
    plan = [(_flag_key(flag), flag) for flag in done.plan.flags]
    return [{"field": key, "message": sentence(flag)} for key, flag in (*knives, *plan)]


def _flag_key(flag: Any) -> str:
    step = flag.values.get("step")
    return f"steps[{step}].{flag.field}" if step else f"billet.{flag.field}"


# --- text ------------------------------------------------------------------------


def as_text(done: Estimate) -> str:
    """Return an estimate the way a smith reads it."""
    parts = (_knife_lines, _plan_lines, _step_lines, _cost_lines, _warning_lines)
    return "\n\n".join("\n".join(part(done)) for part in parts)


def _knife_lines(done: Estimate) -> Iterator[str]:
    for entry, spec, result in done.knives:
        yield _("%(name)s: %(family)s, %(length)s") % {
            "name": entry.name, "family": spec.family, "length": show(spec.length, "length"),
        }  # fmt: skip
        yield _("  blade %(blade)s, knife about %(mass)s (%(low)s to %(high)s)") % {
            "blade": show(result.blade_mass, "mass"), "mass": show(result.mass, "mass"),
            "low": show(result.mass_low, "mass"), "high": show(result.mass_high, "mass"),
        }  # fmt: skip
        yield _("  balance %(here)s in front of the heel (%(low)s to %(high)s)") % {
            "here": show(result.balance, "length"),
            "low": show(result.balance_low, "length"),
            "high": show(result.balance_high, "length"),
        }
        yield _("  blank %(blank)s, needed of the bar %(needed)s") % {
            "blank": show(result.blank.mass, "mass"),
            "needed": show(result.blank.needed, "mass"),
        }


def _plan_lines(done: Estimate) -> Iterator[str]:
    plan, totals, verdict = done.plan.plain, done.plan.sampled.totals, done.plan.verdict
    if verdict:
        yield verdict_line(verdict.spare, verdict.chance, verdict.asked)
    if done.fit:
        yield _(
            "Stack fitted to a chance of %(asked)s: %(length)s; "
            "if all goes as planned: %(median)s."
        ) % {
            "asked": show(done.fit.asked, "percent"),
            "length": show(float(done.fit.stack.length), "length"),
            "median": show(float(done.fit.median.length), "length"),
        }  # fmt: skip
    yield _("Stack %(start)s, forged bar %(bar)s (%(low)s to %(high)s).") % {
        "start": show(float(plan.start_mass), "mass"),
        "bar": show(float(plan.bar_mass), "mass"),
        "low": show(totals["bar_mass"].low, "mass"),
        "high": show(totals["bar_mass"].high, "mass"),
    }
    yield _("Layers: %(layers)s by multiplication, %(distinct)s told apart.") % {
        "layers": plan.layers, "distinct": plan.distinct,
    }  # fmt: skip
    yield _(
        "%(heats)s heats, forge lit %(lit)s, attended %(hours)s h, gas %(gas)s."
    ) % {
        "heats": round(float(plan.heats)),
        "lit": show(float(plan.forge_seconds), "duration"),
        "hours": quarters(float(plan.attended_seconds)),
        "gas": show(float(plan.gas), "mass_kg"),
    }
    yield calibration_line(done.plan.beliefs.billets)
    for cut in done.plan.cuts:
        yield _("Cut %(pieces)s pieces of %(length)s from %(bars)s bars of %(steel)s.") % {
            "pieces": cut.line.pieces, "length": show(cut.line.length, "length"),
            "bars": cut.line.bars, "steel": cut.bar.steel.name,
        }  # fmt: skip


def verdict_line(spare: float, chance: float, asked: float) -> str:
    """Return the verdict on a bar as a sentence."""
    values = {
        "mass": show(abs(spare), "mass"),
        "chance": show(chance, "percent"),
        "asked": show(asked, "percent"),
    }
    if spare >= 0:
        return (
            _("Enough: %(mass)s to spare at %(asked)s; the chance is %(chance)s.")
            % values
        )
    return _("Short by %(mass)s at %(asked)s; the chance is only %(chance)s.") % values


def calibration_line(billets: int) -> str:
    """Return whether the numbers rest on the shop's own billets."""
    if billets:
        return _("From %(billets)s billets of this shop.") % {"billets": billets}
    return _(
        "Uncalibrated: physics and trade priors, about 0.12 either way in the share kept."
    )


def quarters(seconds: float) -> str:
    """Return hours to the quarter hour.

    >>> quarters(5400.0), quarters(14000.0)
    ('1.5', '4')
    """
    return f"{round(seconds / HOUR * 4) / 4:g}"


def _step_lines(done: Estimate) -> Iterator[str]:
    yield _("step          mass   length x width x thickness   layers  heats  minutes")
    for step in done.plan.plain.steps:
        size = " x ".join(
            (
                show(float(step.length), "length"),
                show(float(step.width), "length"),
                show(float(step.thickness), "thickness"),
            )
        )
        minutes = float(step.heating_seconds + step.working_seconds) / MINUTE
        yield (
            f"{step.kind:9}{show(float(step.mass), 'mass'):>10}   {size:27}"
            f"{step.layers:>6}{float(step.heats):>7.0f}{minutes:>9.0f}"
        )


def _cost_lines(done: Estimate) -> Iterator[str]:
    lines, price = done.lines, done.lines.price
    for line in lines.lines:
        label = f"{_(line.label)} {line.subject}".strip()
        count = f"{line.quantity.normalize():f} {_(line.unit) if line.unit else ''}"
        yield _row(label, f"{count.strip()} x {line.rate.normalize():f}", line.amount)
    risk = lines.risk
    yield _row(_(risk.label), f"{risk.quantity} % x {risk.rate}", risk.amount)
    yield _row(_("Margin"), "", price.margin)
    yield _row(_("Net"), "", price.net)
    yield _row(_("Tax"), "", price.whole.tax)
    yield _row(_("Price"), lines.currency, price.whole.gross)
    yield _row(_("Deposit"), "", price.deposit.gross)
    whose = _("the shop's own") if lines.source == "shop" else _("shipped, invented")
    yield _("Rates: %(whose)s, in force from %(day)s.") % {
        "whose": whose, "day": done.rates.valid_from.isoformat(),
    }  # fmt: skip


def _row(label: str, how: str, amount: Decimal) -> str:
    return f"{label[:44]:44}{how:>26}{amount:>12}"


def _warning_lines(done: Estimate) -> Iterator[str]:
    for warning in _warnings(done):
        yield f"{warning['field']}: {warning['message']}"
    yield _("Seed %(seed)s, %(draws)s draws.") % {
        "seed": done.seed, "draws": done.plan.sampled.draws,
    }  # fmt: skip
