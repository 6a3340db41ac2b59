"""The heat treatment of one knife on its build sheet, a few lines at two stages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from babel.lists import format_list
from django.utils.translation import gettext as _

from billets.messages import sentence, spoken
from billets.physics.errors import Flag
from billets.physics.quenching import HardeningHeat
from billets.physics.steels_report import SteelsReport, steels_report
from billets.physics.temper_choice import START_HIGH
from billets.physics.treatment import HeatTreatment
from billets.services import core_targets
from billets.treatment_texts import (
    between,
    hardness_band,
    has_room,
    heat_source,
    heats,
    hours,
    medium_text,
    normalising_text,
    out_of_reach,
    softening_text,
    temper_source,
    temper_text,
)
from billets.units import System, locale_of
from billets.wording import said
from quotes.offer.specification import Specified

Row = tuple[str, str]


def knife_steels(one: Specified) -> SteelsReport:
    """Return what becomes of the steels in one knife, whoever shares its billet."""
    figures = one.figures
    if len(figures.targets) == 1:
        return figures.steels
    own = core_targets([one.knife.target], clean=figures.plain.clean)
    return steels_report(figures.input, figures.plain, own, figures.spec.bath)


def treatment_lines(one: Specified, system: System) -> Mapping[str, tuple[Row, ...]]:
    """Return what the heat treatment asks for at each stage, short enough for paper."""
    report = knife_steels(one)
    treatment = report.treatment
    if treatment is None or treatment.harden is None:
        doubts = _doubts(report.flags, system)
        return {"harden": (_by_the_sheets(one), *doubts)}
    heat = treatment.harden
    return {
        "forge": tuple(_after_forging(treatment, system)),
        "grind": (_relieving(treatment, system),),
        "harden": (
            (_("Harden from"), _window(heat, system)),
            (_("Preheat, soak"), _soak(treatment, heat, system)),
            (_("Quench in"), medium_text(treatment, system)),
            *_tempering(treatment, system),
            *_doubts(_but_the_temper(treatment), system),
        ),
    }


def _after_forging(one: HeatTreatment, system: System) -> Iterator[Row]:
    if one.normalise:
        yield _("Normalise"), normalising_text(one.normalise, system)
    else:
        yield _("Normalise"), _("no: a steel of it hardens in air")
    if one.soften:
        yield _("Soften"), softening_text(one.soften, system)
        for steel, text in one.soften.sheets:
            yield _("Sheet of {steel}").format(steel=steel), text


def _relieving(one: HeatTreatment, system: System) -> Row:
    return _("After rough grinding"), _("{time} at {heat}, cool slowly").format(
        time=hours(one.relieve_seconds),
        heat=heats((one.relieve_low, one.relieve_high), system),
    )


def _window(heat: HardeningHeat, system: System) -> str:
    chosen = said(heat.chosen, "temperature", system)
    if not has_room(heat, system):
        return _("{chosen}, {source}").format(chosen=chosen, source=heat_source(heat))
    return _("{chosen} ({window}), {source}").format(
        chosen=chosen,
        window=heats((heat.low, heat.high), system),
        source=heat_source(heat),
    )


def _soak(one: HeatTreatment, heat: HardeningHeat, system: System) -> str:
    return _("{heat}; then {time} in the heat").format(
        heat=heats((one.relieve_low, one.relieve_high), system),
        time=between((heat.soak_low, heat.soak_high), "duration", system),
    )


def _tempering(one: HeatTreatment, system: System) -> Iterator[Row]:
    temper = one.temper
    if temper is None:
        yield _("Temper"), out_of_reach(one, system)
        return
    yield (
        _("Temper"),
        _("{temper}, {source}").format(
            temper=temper_text(temper, system), source=temper_source(temper)
        ),
    )
    band = hardness_band(temper.hardness_low, temper.hardness_high)
    if temper.temperature <= START_HIGH:
        yield _("Then expect"), _("{band}; measure").format(band=band)
        return
    yield (
        _("Then expect"),
        _("{band}; begin at {start}, measure").format(
            band=band, start=said(temper.start, "temperature", system)
        ),
    )


def _by_the_sheets(one: Specified) -> Row:
    """Say whose sheets to harden by, where nothing of them is known here."""
    names = one.figures.spec.steel_names
    return (
        _("Heat, medium, oven"),
        _("by the data sheets of {steels}").format(
            steels=format_list(names, locale=locale_of(spoken()))
        ),
    )


def _but_the_temper(one: HeatTreatment) -> list[Flag]:
    """Return the flags without that of a temper out of reach, which its row says."""
    return [flag for flag in one.flags if one.temper or flag.field != "hardness"]


def _doubts(flags: Iterable[Flag], system: System) -> Iterator[Row]:
    for flag in flags:
        if flag.level != "note":
            yield _("Look twice"), sentence(flag, system)
