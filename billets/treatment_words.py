"""The heat treatment in rows of words, for the page of a billet and the build sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from babel.lists import format_list
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.physics.before_hardening import Normalising, Softening
from billets.physics.quenching import HardeningHeat
from billets.physics.temper_choice import START_HIGH, STEP_HIGH, STEP_LOW, Tempering
from billets.physics.treatment import HeatTreatment
from billets.treatment_texts import (
    between,
    hardness_band,
    has_room,
    heat_source,
    heats,
    hours,
    medium_text,
    normalising_text,
    number,
    softening_text,
    temper_source,
    temper_text,
)
from billets.units import System, locale_of
from billets.wording import said, share


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentRow:
    """One line of the heat treatment.

    Attributes
    ----------
    key : str
        Which, for those who show only some.
    label, text : str
        What it is, and what is done.
    source : str
        What that rests on; empty where it needs no word.
    """

    key: str
    label: str
    text: str
    source: str = ""


def treatment_rows(one: HeatTreatment, system: System) -> tuple[TreatmentRow, ...]:
    """Return a heat treatment row by row, in the order of the work."""
    return (
        *_before(one, system),
        *_hardening(one, system),
        *_after(one, system),
        *_tempering(one, system),
    )


# --- before hardening ----------------------------------------------------------------


def _before(one: HeatTreatment, system: System) -> Iterator[TreatmentRow]:
    if one.weld_soak:
        yield TreatmentRow(
            key="weld",
            label=_("First weld: soak"),
            text=_("{time} until the stack is hot through").format(
                time=between(one.weld_soak, "duration", system)
            ),
            source=_("common practice"),
        )
    if one.normalise:
        yield _normalising(one.normalise, system)
    elif one.soften:
        yield TreatmentRow(
            key="normalise",
            label=_("Normalise"),
            text=_("not at all: a steel of this billet hardens in air"),
        )
    if one.soften:
        yield _softening(one.soften, system)
        yield TreatmentRow(
            key="relieve",
            label=_("After rough grinding"),
            text=_("{time} at {heat}, cool slowly").format(
                time=hours(one.relieve_seconds),
                heat=heats((one.relieve_low, one.relieve_high), system),
            ),
            source=_("common practice"),
        )


def _normalising(one: Normalising, system: System) -> TreatmentRow:
    source = (
        _("first heat by the sheet of {steel}").format(steel=one.steel)
        if one.source == "sheet"
        else _("common practice")
    )
    return TreatmentRow(
        key="normalise",
        label=_("Normalise"),
        text=normalising_text(one, system),
        source=source,
    )


def _softening(one: Softening, system: System) -> TreatmentRow:
    sheets = "; ".join(
        _("sheet of {steel}: {text}").format(steel=steel, text=text)
        for steel, text in one.sheets
    )
    return TreatmentRow(
        key="soften",
        label=_("Soften"),
        text=softening_text(one, system),
        source=sheets
        or _("below where {steel} starts to change").format(steel=one.steel),
    )


# --- hardening -----------------------------------------------------------------------


def _hardening(one: HeatTreatment, system: System) -> Iterator[TreatmentRow]:
    heat = one.harden
    if heat is None:
        return
    yield TreatmentRow(
        key="preheat",
        label=_("Preheat"),
        text=heats((one.relieve_low, one.relieve_high), system),
        source=_("common practice"),
    )
    yield TreatmentRow(
        key="harden",
        label=_("Harden from"),
        text=_window(heat, system),
        source=heat_source(heat),
    )
    yield TreatmentRow(
        key="soak",
        label=_("Soak"),
        text=between((heat.soak_low, heat.soak_high), "duration", system),
        source=(
            _("by the data sheets")
            if heat.soak_source == "sheet"
            else _("usual for plain steel")
        ),
    )
    yield TreatmentRow(
        key="medium", label=_("Quench in"), text=_medium_with_rise(one, system),
        source=_("by the data sheets"),
    )  # fmt: skip


def _window(heat: HardeningHeat, system: System) -> str:
    chosen = said(heat.chosen, "temperature", system)
    if heat.low > heat.high:
        return _("{chosen}; the windows of the steels do not meet").format(
            chosen=chosen
        )
    if not has_room(heat, system):
        return _("{chosen}, no more and no less").format(chosen=chosen)
    return _("{chosen}, window {window}").format(
        chosen=chosen, window=heats((heat.low, heat.high), system)
    )


def _medium_with_rise(one: HeatTreatment, system: System) -> str:
    text = medium_text(one, system)
    if one.rise is None:
        return text
    rise = said(one.rise, "temperature_difference", system)
    return _("{text}; one blade warms it by {rise} at most").format(
        text=text, rise=rise
    )


# --- what comes of it ----------------------------------------------------------------


def _after(one: HeatTreatment, system: System) -> Iterator[TreatmentRow]:
    if not one.layers:
        return
    starts = [layer.martensite_start for layer in one.layers]
    yield TreatmentRow(
        key="martensite",
        label=_("Turns hard from"),
        text=_("{heats}: straighten before, or clamped at tempering heat").format(
            heats=heats((min(starts), max(starts)), system)
        ),
        source=_("by formula"),
    )
    if one.depths:
        yield TreatmentRow(
            key="depth", label=_("Hardens"), text=_depth(one), source=_("by formula")
        )
    bands = [layer.hardness for layer in one.layers]
    yield TreatmentRow(
        key="quenched",
        label=_("As quenched"),
        text=hardness_band(
            min(float(band.low) for band in bands),
            max(float(band.high) for band in bands),
        ),
        source=_("by formula, held at its plateau")
        if any(band.clamped for band in bands)
        else _("by formula"),
    )
    worst = max(one.layers, key=lambda layer: layer.austenite)
    yield TreatmentRow(
        key="austenite",
        label=_("Stays austenite"),
        text=_("up to {share}, in {steel}").format(
            share=share(worst.austenite), steel=worst.steel.name
        ),
        source=_("by formula"),
    )


DEPTHS = ("through", "partly", "edge")


def _depth(one: HeatTreatment) -> str:
    """Say which steels harden how deep, those that harden least last."""
    words = {
        "through": _("{steels} through the spine"),
        "partly": _("{steels} perhaps not to the middle of the spine"),
        "edge": _("{steels} at the edge, not at the spine"),
    }
    parts = []
    for verdict in DEPTHS:
        names = [row.steel for row in one.depths if row.verdict == verdict]
        if names:
            listed = format_list(names, locale=locale_of(spoken()))
            parts.append(words[verdict].format(steels=listed))
    return "; ".join(parts)


def _tempering(one: HeatTreatment, system: System) -> Iterator[TreatmentRow]:
    if one.temper is None:
        if one.harden:
            text = _("no temper gives {target} HRC").format(target=number(one.target))
            yield TreatmentRow(key="temper", label=_("Temper"), text=text)
        return
    temper = one.temper
    yield TreatmentRow(
        key="temper", label=_("Temper"), text=_temper(temper, system),
        source=temper_source(temper),
    )  # fmt: skip
    yield TreatmentRow(
        key="expected",
        label=_("Then expect"),
        text=_("{aim} HRC, {band}").format(
            aim=number(round(temper.hardness, 1)),
            band=hardness_band(temper.hardness_low, temper.hardness_high),
        ),
        source=temper_source(temper),
    )


def _temper(one: Tempering, system: System) -> str:
    times = temper_text(one, system)
    if heats((one.low, one.high), system) != heats((one.temperature,) * 2, system):
        times = _("{times} ({range} may do it)").format(
            times=times, range=heats((one.low, one.high), system)
        )
    if one.temperature <= START_HIGH:
        return _("{times}, at once; measure").format(times=times)
    return _("{times}, at once. Begin at {start}, measure, go up by {step}").format(
        times=times,
        start=heats((one.start, START_HIGH), system),
        step=between((STEP_LOW, STEP_HIGH), "temperature_difference", system),
    )
