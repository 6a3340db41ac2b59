"""The phrases a heat treatment is told in, alike on page and paper."""

from __future__ import annotations

import math
from decimal import Decimal

from django.utils.translation import gettext as _

from billets.messages import sentence, spoken
from billets.physics.before_hardening import Normalising, Softening
from billets.physics.checks import QUENCH_WORDS
from billets.physics.quenching import HardeningHeat
from billets.physics.temper_choice import Tempering
from billets.physics.treatment import HeatTreatment
from billets.units import System, local_number
from billets.wording import bare, said, whole

# --- what is done --------------------------------------------------------------------


def normalising_text(one: Normalising, system: System) -> str:
    """Say how a blade is normalised."""
    texts = [said(heat, "temperature", system) for heat in one.heats]
    return _("{heats}, {time} each, in air until black").format(
        heats=", ".join([*map(bare, texts[:-1]), texts[-1]]),
        time=said(one.seconds, "duration", system),
    )


def softening_text(one: Softening, system: System) -> str:
    """Say how a blade is softened."""
    return _("{time} at {heat}, cool in the closed oven").format(
        time=hours(one.seconds), heat=said(one.temperature, "temperature", system)
    )


def heat_source(heat: HardeningHeat) -> str:
    """Say what a hardening heat rests on."""
    return _("by the data sheets") if heat.source == "sheet" else _("by formula")


def has_room(heat: HardeningHeat, system: System) -> bool:
    """Return whether the window of the steels is wider than what a page can tell."""
    ends = {said(end, "temperature", system) for end in (heat.low, heat.high)}
    return heat.low <= heat.high and len(ends) > 1


def medium_text(one: HeatTreatment, system: System) -> str:
    """Say what a blade is quenched in, and how warm that is."""
    medium = _(QUENCH_WORDS[one.quench]) if one.quench else "–"
    if one.bath.name:
        medium = _("{medium} ({bath})").format(medium=medium, bath=one.bath.name)
    if one.oil is None:
        return medium
    return _("{medium} at {heat}").format(medium=medium, heat=heats(one.oil, system))


def out_of_reach(one: HeatTreatment, system: System) -> str:
    """Say why a blade is not tempered to what was aimed at; empty if nothing does."""
    reasons = (flag for flag in one.flags if flag.field == "hardness")
    return " ".join(sentence(flag, system) for flag in reasons)


def temper_text(one: Tempering, system: System) -> str:
    """Say how often, how long and how hot a blade is tempered."""
    return _("{times} × {time} at {heat}").format(
        times=whole(one.tempers),
        time=hours(one.seconds),
        heat=said(one.temperature, "temperature", system),
    )


def temper_source(one: Tempering) -> str:
    """Say what a temper rests on: the shop's own sheet, a table, or the formula."""
    return {
        "own": _("by the shop's own sheet of {steel}"),
        "table": _("by the table of {steel}"),
        "fit": _("by formula, ± 2 HRC"),
    }[one.source].format(steel=one.steel)


# --- numbers -------------------------------------------------------------------------


def between(ends: tuple[float, float], kind: str, system: System) -> str:
    """Write two ends of a quantity with the unit once."""
    first, last = (said(end, kind, system) for end in ends)
    if first == last:
        return last
    return _("{low} to {high}").format(low=bare(first), high=last)


def heats(ends: tuple[float, float], system: System) -> str:
    """Write two temperatures with the unit once."""
    return between(ends, "temperature", system)


def hours(seconds: float) -> str:
    """Write a time of hours."""
    return said(seconds, "hours", "metric")


def hardness_band(low: float, high: float) -> str:
    """Write a band of hardness, rounded outwards to whole points."""
    return _("{low} to {high} HRC").format(
        low=whole(math.floor(round(low, 2))), high=whole(math.ceil(round(high, 2)))
    )


def number(value: float) -> str:
    """Write a plain number as the language does."""
    return local_number(Decimal(str(value)).normalize(), spoken())
