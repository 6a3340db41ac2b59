"""The model beside what is known from outside, with its misses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand

from billets.physics.measured import MeasuredKnife, check_measured, summarise
from billets.physics.reported import ReportedCase, ReportedRun, check_reported

GRAMS = 1000.0


class Command(BaseCommand):
    help = "Print twelve weighed knives and told losses of steel beside the model."
    requires_system_checks = []  # nothing here needs a page or a database

    def handle(self, *args: Any, **options: Any) -> None:
        for part in (_knives(), _losses()):
            for line in part:
                self.stdout.write(line)


# --- knives ----------------------------------------------------------------------


def _knives() -> Iterator[str]:
    knives = check_measured()
    yield "Twelve knives as weighed by their makers (common practice, no source)"
    yield "knife  family    published   model    error  default set with it in view"
    for one in knives:
        yield (
            f"{one.key:7}{one.family:9}{one.published * GRAMS:8.0f} g"
            f"{one.model * GRAMS:8.1f} g{one.error:8.1%}  {one.seen or '-'}"
        )
    yield f"All twelve: {_summary(knives)}."
    fresh = [one for one in knives if not one.seen]
    yield (
        f"The {len(fresh)} no default was set with: {_summary(fresh)}. "
        "The figure for all twelve therefore flatters the model."
    )
    yield (
        "Two of the knives are of one size and one maker and differ by 6 %; nothing "
        "below that can be expected without measured thickness."
    )
    yield ""


def _summary(knives: tuple[MeasuredKnife, ...] | list[MeasuredKnife]) -> str:
    found = summarise(knives)
    return (
        f"mean {found.mean:+.1%}, mean size of the error {found.mean_absolute:.1%}, "
        f"worst {found.worst:+.1%}"
    )


# --- losses ----------------------------------------------------------------------


def _losses() -> Iterator[str]:
    yield "Share of the stack that was kept, as told and by the model"
    for case in check_reported():
        yield from _case(case)
    yield (
        "This is a plausibility test, not a validation: one soft figure, estimates by "
        "eye and an upper limit, none with heats or weigh-ins, all sizes assumed."
    )
    yield (
        "Above four or five welds, and for a careful shop, the model is too "
        "pessimistic by more than 0.12. Three weighed billets are worth more than all "
        "of this."
    )


def _case(case: ReportedCase) -> Iterator[str]:
    yield f"{case.key}: {case.told}"
    yield f"  ({case.mark})"
    limit = "at most " if case.at_most else ""
    yield f"  told     {limit}{_range(case.low, case.high)}"
    for run in case.runs:
        welds = f"{run.welds} welds, " if run.welds else ""
        kept = _range(run.low, run.high)
        yield f"  model    {kept}  {welds}{run.label}: {verdict_of(run)}"


def verdict_of(run: ReportedRun) -> str:
    """Return in words how the model does against what was told."""
    least, most = sorted((abs(run.miss_low), abs(run.miss_high)))
    if not most:
        return "consistent"
    side = "pessimistic" if run.miss_low < 0 else "optimistic"
    return f"too {side} by {_range(least, most)}"


def _range(low: float, high: float) -> str:
    ends = dict.fromkeys((f"{low:.2f}", f"{high:.2f}"))
    return " to ".join(ends)
