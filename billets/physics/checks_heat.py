"""Whether one hardening heat suits all steels, and every weld the richest of them."""

from __future__ import annotations

from billets.physics.bar import Steel
from billets.physics.burning import solidus
from billets.physics.checks import (
    NO_GRADE,
    NO_WINDOW,
    NOTHING_HARDENS,
    Check,
    CheckLevel,
    not_less,
    unknown_steels,
)
from billets.physics.common_heat import Window, latest_change
from billets.physics.errors import _
from billets.physics.together import Together


def hardening_window(at: Together) -> Check:
    """Return whether one heat hardens all steels."""
    name = "hardening window"
    window, missing = at.window, without_window(at)
    if missing:
        message = NO_GRADE if at.unknown else NO_WINDOW
        return unknown_steels(name, missing, message)
    if window is None:
        return Check(name=name, level="stop", message=NOTHING_HARDENS)
    level = not_less(window.room, at.limits.window)
    return Check(
        name=name,
        level=level,
        message=_window_message(level, window),
        values={
            "first": window.lowest.name,
            "second": window.highest.name,
            "from_temperature": window.low,
            "to_temperature": window.high,
            "chosen_temperature": window.chosen,
            "room_difference": abs(window.room),
        },
    )


def without_window(at: Together) -> tuple[Steel, ...]:
    """Return the steels whose hardening heat is not known, though they may harden."""
    return at.unknown or tuple(
        one
        for one in at.hardening
        if one.grade and None in (one.grade.harden_low, one.grade.harden_high)
    )


def _window_message(level: CheckLevel, window: Window) -> str:
    if level == "ok":
        return _(
            "One heat hardens all: from {from_temperature} to {to_temperature}, "
            "{room_difference} of room."
        )
    if level == "stop":
        return _(
            "{first} hardens up to {to_temperature}, {second} only from "
            "{from_temperature}: {room_difference} apart, too far for one heat. "
            "Replace one of them."
        )
    if window.room < 0.0:
        return _(
            "{first} hardens up to {to_temperature}, {second} only from "
            "{from_temperature}: {room_difference} apart. Harden at "
            "{chosen_temperature} and measure, or replace one of them."
        )
    return _(
        "One heat hardens all, but with {room_difference} of room only: from "
        "{from_temperature}, as {second} asks, to {to_temperature}, as {first} bears. "
        "Hold the oven that close, or replace one of them."
    )


def hardening_heat(at: Together) -> Check:
    """Return whether that heat is far enough above where each steel changes."""
    name = "hardening heat"
    window, missing = at.window, without_window(at)
    if missing:
        message = NO_GRADE if at.unknown else NO_WINDOW
        return unknown_steels(name, missing, message)
    latest = latest_change(at.turning)
    if window is None or latest is None:
        return Check(name=name, level="stop", message=NOTHING_HARDENS)
    steel, critical = latest
    above = window.chosen - critical
    level = not_less(above, at.limits.floor)
    messages = {
        "ok": _(
            "At {chosen_temperature} even {steel}, which changes last, is "
            "{above_difference} above where it starts to change."
        ),
        "warn": _(
            "At {chosen_temperature} {steel} is only {above_difference} above where it "
            "starts to change, {critical_temperature}. Go to the upper end of the "
            "window and soak longer."
        ),
        "stop": _(
            "At {chosen_temperature} {steel} is no more than {above_difference} above "
            "where it starts to change, {critical_temperature}: it would stay partly "
            "soft. Replace it, or the steel that bears no more heat."
        ),
    }
    values = {
        "steel": steel.name,
        "chosen_temperature": window.chosen,
        "critical_temperature": critical,
        "above_difference": above,
    }
    return Check(name=name, level=level, message=messages[level], values=values)


def welding_heat(at: Together) -> Check:
    """Return whether every heat stays below where the richest steel starts to melt."""
    name = "welding heat"
    heats = {one: solidus(one.steel.carbon) - one.temperature for one in at.heats}
    if not heats:
        message = _("Not checked: no heat is planned.")
        return Check(name=name, level="unknown", message=message)
    worst = min(heats, key=heats.__getitem__)
    fine, bearable = at.limits.solidus
    level: CheckLevel = (
        "ok" if heats[worst] > fine else "warn" if heats[worst] > bearable else "stop"
    )
    messages = {
        "ok": _(
            "The hottest heat, {heat_temperature}, is {below_difference} below where "
            "{steel} starts to melt."
        ),
        "warn": _(
            "{heat_temperature} is {below_difference} below where {steel} starts to "
            "melt; {fine_difference} is safe. Keep the soak short, watch for sparks, "
            "or heat to {fine_temperature}."
        ),
        "stop": _(
            "{heat_temperature} is only {below_difference} below where {steel} starts "
            "to melt, and it may burn. Heat to no more than {fine_temperature}, or "
            "take a steel with less carbon."
        ),
    }
    values = {
        "steel": worst.steel.name,
        "heat_temperature": worst.temperature,
        "below_difference": heats[worst],
        "fine_difference": fine,
        "fine_temperature": worst.temperature + heats[worst] - fine,
    }
    return Check(name=name, level=level, message=messages[level], values=values)
