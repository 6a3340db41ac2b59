"""The steels of a billet, as its page says them: carbon, twelve checks, pattern."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.messages import sentence, spoken
from billets.physics.checks import Check
from billets.physics.levelling import LOST_CARBON, Levelling
from billets.physics.steels_report import SteelsReport
from billets.treatment_words import TreatmentRow, treatment_rows
from billets.units import System, local_number
from billets.wording import Saying, flag_sayings, said, share, whole

CHECK_NAMES: Mapping[str, str | Promise] = MappingProxyType(
    {
        "hardening window": gettext_lazy("hardening window"),
        "hardening heat": gettext_lazy("hardening heat"),
        "turning hard": gettext_lazy("turning hard in the quench"),
        "quench": gettext_lazy("quench"),
        "depth of hardening": gettext_lazy("depth of hardening"),
        "carbon": gettext_lazy("carbon for 58 to 62 HRC"),
        "layers that stay soft": gettext_lazy("layers that stay soft"),
        "expansion": gettext_lazy("expansion"),
        "welding heat": gettext_lazy("welding heat"),
        "sulphur, phosphorus, copper": gettext_lazy("sulphur, phosphorus, copper"),
        "contrast": gettext_lazy("contrast"),
        "pattern life": gettext_lazy("pattern life"),
    }
)
"""What each check is called, by `checks.Check.name`."""

MARKS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "ok": gettext_lazy("fine"),
        "warn": gettext_lazy("look twice"),
        "stop": gettext_lazy("do not weld these together"),
        "unknown": gettext_lazy("not checked"),
    }
)
"""What a level is called; colour only repeats it."""

STOPS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "depth of hardening": gettext_lazy("will not harden"),
        "carbon": gettext_lazy("wrong for the hardness"),
        "layers that stay soft": gettext_lazy("will not hold an edge"),
        "welding heat": gettext_lazy("do not heat it so far"),
        "sulphur, phosphorus, copper": gettext_lazy("do not forge it"),
        "contrast": gettext_lazy("no pattern"),
        "pattern life": gettext_lazy("the pattern fades"),
    }
)
"""The last of those words where not the pair is at fault but what is done with it."""

CLASSES = {"ok": "ok", "warn": "warn", "stop": "stop", "unknown": "note"}

ELEMENTS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "nickel": gettext_lazy("nickel"),
        "chromium": gettext_lazy("chromium"),
        "manganese": gettext_lazy("manganese"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One check: what was looked at, how it came out in a word, and why."""

    level: str
    mark: str
    name: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CarbonRow:
    """Carbon of one steel, as bought and in the finished layers."""

    steel: str
    own: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelsBlock:
    """All the page of a billet says of its steels.

    Attributes
    ----------
    verdict : Saying
        What the twelve checks come to.
    checks : tuple of CheckRow
        Each of them.
    carbon : tuple of str
        How far carbon has levelled.
    layers : tuple of CarbonRow
        Carbon of each steel.
    pattern : str
        What is left of the contrast; empty where nothing is known of it.
    counted : str
        Which heats that rests on.
    treatment : tuple of TreatmentRow
        The heat treatment; empty where there is none.
    oil : bool
        Whether the blade is quenched in oil, which can burn.
    sayings : tuple of Saying
        What to look at twice.
    """

    verdict: Saying
    checks: tuple[CheckRow, ...]
    carbon: tuple[str, ...]
    layers: tuple[CarbonRow, ...]
    pattern: str
    counted: str
    treatment: tuple[TreatmentRow, ...]
    oil: bool
    sayings: tuple[Saying, ...]


def steels_block(report: SteelsReport, system: System) -> SteelsBlock:
    """Say the steels of a billet in the shop's units and the language of the page."""
    treatment = report.treatment
    return SteelsBlock(
        verdict=_verdict(report.checks),
        checks=tuple(_check_row(one, system) for one in report.checks),
        carbon=_carbon(report),
        layers=_layers(report),
        pattern=_pattern(report.levelling),
        counted=_counted(report.levelling, system),
        treatment=treatment_rows(treatment, system) if treatment else (),
        oil=bool(treatment and treatment.harden and treatment.oil),
        sayings=tuple(flag_sayings(report.flags, system)),
    )


# --- the checks ----------------------------------------------------------------------


def _check_row(check: Check, system: System) -> CheckRow:
    mark = MARKS[check.level]
    if check.level == "stop":
        mark = STOPS.get(check.name, mark)
    return CheckRow(
        level=CLASSES[check.level],
        mark=str(mark),
        name=capfirst(str(CHECK_NAMES[check.name])),
        sentence=sentence(check, system),
    )


def _verdict(checks: tuple[Check, ...]) -> Saying:
    """Say what all checks come to, the worst first."""
    levels = [one.level for one in checks]
    unknown = levels.count("unknown")
    rest = (
        ngettext(
            "{count} thing could not be checked.",
            "{count} things could not be checked.",
            unknown,
        ).format(count=whole(unknown))
        if unknown
        else _("All twelve things were checked.")
    )
    if "stop" in levels:
        first = ngettext(
            "{count} thing speaks against this billet",
            "{count} things speak against this billet",
            levels.count("stop"),
        ).format(count=whole(levels.count("stop")))
        return Saying(level="stop", first=first, rest=rest)
    if "warn" in levels:
        first = ngettext(
            "{count} thing to look at twice", "{count} things to look at twice",
            levels.count("warn"),
        ).format(count=whole(levels.count("warn")))  # fmt: skip
        return Saying(level="warn", first=first, rest=rest)
    if unknown:
        return Saying(
            level="note", first=_("Nothing speaks against these steels"), rest=rest
        )
    return Saying(level="ok", first=_("These steels belong together"), rest=rest)


# --- carbon and pattern --------------------------------------------------------------


def percent(content: float, places: int = 2) -> str:
    """Write what a steel holds of something, in mass per cent."""
    number = local_number(Decimal(str(float(content))), spoken(), places=places)
    return f"{number}\u00a0%"


def _carbon(report: SteelsReport) -> tuple[str, ...]:
    levelling, limits = report.levelling, report.together.limits
    left = share(levelling.carbon_left)
    if levelling.carbon_left <= limits.level:
        first = _(
            "Carbon is level, {left} of its difference is left: all layers hold "
            "{mean} by mass."
        )
    elif levelling.carbon_left <= limits.half_level:
        first = _(
            "Carbon is half level, {left} of its difference is left: every steel keeps "
            "a range of its own. By mass it is {mean}."
        )
    else:
        first = _(
            "Carbon has hardly moved, {left} of its difference is left: every steel "
            "counts with its own. By mass it is {mean}."
        )
    low, high = LOST_CARBON
    second = _(
        "Scale may take {low} to {high} more from thin layers worked for long; that is "
        "not taken off here."
    )
    return (
        first.format(left=left, mean=percent(levelling.mean_carbon)),
        second.format(low=percent(low), high=percent(high)),
    )


def _layers(report: SteelsReport) -> tuple[CarbonRow, ...]:
    names = {one.key: one.name for one in report.together.steels}
    return tuple(
        CarbonRow(
            steel=names.get(one.key, one.key),
            own=percent(one.own),
            now=_range(one.low, one.high),
        )
        for one in report.levelling.layers
    )


def _range(low: float, high: float) -> str:
    first, last = percent(low), percent(high)
    if first == last:
        return last
    return _("{low} to {high}").format(low=first.partition("\u00a0")[0], high=last)


def _pattern(levelling: Levelling) -> str:
    left = {name: found for name in ELEMENTS if (found := levelling.contrast.get(name))}
    if not left:
        return ""
    parts = ", ".join(f"{ELEMENTS[name]} {share(one)}" for name, one in left.items())
    return _("Of the contrast between layers all heats leave: {parts}.").format(
        parts=parts
    )


def _counted(levelling: Levelling, system: System) -> str:
    time = said(levelling.seconds, "duration", system)
    if not levelling.blade_heats:
        return _(
            "Counted: {time} at heat, all steps of this plan; forging a blade is not "
            "among them."
        ).format(time=time)
    return _(
        "Counted: {time} at heat, all steps of this plan and {heats} heats to forge "
        "the blade. Cooling, normalising and hardening add little."
    ).format(time=time, heats=whole(levelling.blade_heats))
