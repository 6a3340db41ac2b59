"""Whether the layers show after etching, and still do after all heats."""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.checks import (
    NO_GRADE,
    Check,
    CheckLevel,
    not_less,
    unknown_steels,
)
from billets.physics.diffusion import time_until
from billets.physics.errors import _
from billets.physics.together import Together

ELEMENT_WORDS = {
    "nickel": _("nickel"), "manganese": _("manganese"), "chromium": _("chromium"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Contrast:
    """What makes two steels differ after etching."""

    element: str
    difference: float
    first: Steel
    second: Steel


def _contrast(at: Together) -> _Contrast | None:
    """Return the element that shows most: nickel if it shows at all, else the grey."""
    found = [
        _Contrast(element, _apart(*pair, element), *pair)
        for pair in at.touching
        for element in ELEMENT_WORDS
    ]
    if not found:
        return None
    nickel = max((one for one in found if one.element == "nickel"), key=_difference)
    if nickel.difference >= at.limits.nickel[1]:
        return nickel
    grey = max((one for one in found if one.element != "nickel"), key=_difference)
    return grey if grey.difference >= at.limits.grey else None


def _difference(one: _Contrast) -> float:
    return one.difference


def _apart(first: Steel, second: Steel, element: str) -> float:
    contents = (float(getattr(one.grade, element)) for one in (first, second))
    return round(abs(next(contents) - next(contents)), 6)


def contrast(at: Together) -> Check:
    """Return whether the layers etch differently."""
    name = "contrast"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    best = _contrast(at)
    clear, little = at.limits.nickel
    if best is None:
        message = _(
            "No pattern: no steels that touch differ by {little} % nickel or {grey} % "
            "manganese or chromium. Take one with nickel."
        )
        values: dict[str, object] = {"little": little, "grey": at.limits.grey}
        return Check(name=name, level="stop", message=message, values=values)
    shows = best.element == "nickel" and best.difference >= clear
    message = (
        _("{first} and {second} differ by {content} % {element}: a clear pattern.")
        if shows
        else _(
            "{first} and {second} differ by {content} % {element}: a faint pattern, "
            "grey on dark. {clear} % nickel would show clearly."
        )
    )
    return Check(
        name=name,
        level="ok" if shows else "warn",
        message=message,
        values={
            "first": best.first.name, "second": best.second.name,
            "content": round(best.difference, 2), "clear": clear,
            "element": ELEMENT_WORDS[best.element],
        },
    )  # fmt: skip


def pattern_life(at: Together) -> Check:
    """Return whether the pattern outlives the heats."""
    name = "pattern life"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    best = _contrast(at)
    left = at.levelling.contrast.get(best.element) if best else None
    if best is None or left is None:
        message = _("Not checked: these steels make no pattern that could fade.")
        return Check(name=name, level="unknown", message=message)
    level = not_less(left, at.limits.life)
    layer = at.levelling.thickness / len(at.layers)
    return Check(
        name=name,
        level=level,
        message=_life_message(level),
        values={
            "element": ELEMENT_WORDS[best.element],
            "share": left,
            "most_share": at.limits.life[0],
            "layer": layer,
            "least_layer": layer * _thicker(left, at.limits.life[0]),
        },
    )


def _thicker(left: float, wanted: float) -> float:
    """Return how many times as thick layers keep what is wanted in the same heats."""
    return math.sqrt(time_until(left) / time_until(wanted))


def _life_message(level: CheckLevel) -> str:
    if level == "ok":
        return _(
            "After all heats {share} of the contrast in {element} is left; layers are "
            "{layer} thick on average."
        )
    if level == "warn":
        return _(
            "After all heats only {share} of the contrast in {element} is left: layers "
            "of {layer} blur. From {least_layer} they keep {most_share}; restack "
            "less often, or take fewer, shorter or colder heats."
        )
    return _(
        "After all heats {share} of the contrast in {element} is left: layers of "
        "{layer} are too thin to live through them. From {least_layer} they keep "
        "{most_share}; restack less often, or take fewer, shorter or colder heats."
    )
