"""Whether steels turn hard together, deep enough and with carbon enough."""

from __future__ import annotations

from billets.physics.bar import Steel
from billets.physics.checks import (
    NO_GRADE,
    NOTHING_HARDENS,
    QUENCH_WORDS,
    QUENCHES,
    Check,
    CheckLevel,
    not_less,
    not_more,
    unknown_steels,
)
from billets.physics.common_heat import known
from billets.physics.errors import _
from billets.physics.hardenability import Hardening, hardening_ratio, severity_of
from billets.physics.martensite import martensite_drop
from billets.physics.together import Together


def martensite(at: Together) -> Check:
    """Return whether all steels turn hard at about the same moment of the quench."""
    name = "turning hard"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    drops = {one: martensite_drop(one.grade) for one in at.turning if one.grade}
    if not drops:
        return Check(name=name, level="stop", message=NOTHING_HARDENS)
    first, last = min(drops, key=drops.__getitem__), max(drops, key=drops.__getitem__)
    spread = drops[last] - drops[first]
    level = not_more(round(spread, 6), at.limits.martensite)
    messages = {
        "ok": _(
            "With one carbon all steels turn hard in the quench within "
            "{spread_difference} of one another."
        ),
        "warn": _(
            "With one carbon {first} turns hard in the quench {spread_difference} "
            "before {second}, and the layers strain one another. Quench in warm oil "
            "and temper at once, or lay a steel between them that lies between them."
        ),
        "stop": _(
            "With one carbon {first} turns hard in the quench {spread_difference} "
            "before {second}: layers may crack or part. Replace one of them by a steel "
            "with more like manganese, chromium and nickel."
        ),
    }
    values = {
        "first": first.name, "second": last.name, "spread_difference": spread,
    }  # fmt: skip
    return Check(name=name, level=level, message=messages[level], values=values)


def quench(at: Together) -> Check:
    """Return whether one bath suits all steels."""
    name = "quench"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    places = {
        one: QUENCHES.index(one.grade.quench) for one in at.hardening if one.grade
    }
    if not places:
        return Check(name=name, level="stop", message=NOTHING_HARDENS)
    first, last = (end(places, key=places.__getitem__) for end in (min, max))
    apart = places[last] - places[first]
    level = not_more(apart, at.limits.quench)
    return Check(
        name=name,
        level=level,
        message=_quench_message(level, apart),
        values={
            "first": first.name,
            "second": last.name,
            "quench": QUENCH_WORDS[QUENCHES[places[first]]],
            "other_quench": QUENCH_WORDS[QUENCHES[places[last]]],
            "chosen_quench": QUENCH_WORDS[at.quench],
        },
    )


def _quench_message(level: CheckLevel, apart: int) -> str:
    if not apart:
        return _("All steels that harden are quenched alike: {quench}.")
    if level == "ok":
        return _(
            "{first} is quenched in {quench}, {second} in {other_quench}: near enough. "
            "Quench in {chosen_quench}."
        )
    if level == "warn":
        return _(
            "{first} is quenched in {quench}, {second} in {other_quench}: two steps "
            "apart. Quench in {chosen_quench}, and test that both came out hard and "
            "whole."
        )
    return _(
        "{first} needs {quench}, {second} hardens in {other_quench}: what hardens the "
        "one cracks the other. Replace one of them."
    )


def depth(at: Together) -> Check:
    """Return whether the steel that hardens least deep is deep enough."""
    name = "depth of hardening"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    if at.spine is None:
        message = _(
            "Not checked: no knife is to come out of this billet yet, so no spine is "
            "known. Choose the billet on the page of a knife."
        )
        return Check(name=name, level="unknown", message=message)
    if not at.turning or not at.quench:
        return Check(name=name, level="stop", message=NOTHING_HARDENS)
    steel, spine = shallowest(at, at.spine)
    edge = hardened(at, steel, at.edge)
    level, message = _depth_said(float(spine.ratio), float(edge.ratio), at)
    return Check(
        name=name,
        level=level,
        message=message,
        values={
            "steel": steel.name,
            "quench": at.bath or QUENCH_WORDS[at.quench],
            "spine_thickness": at.spine,
            "edge_thickness": at.edge,
            "times": round(float(spine.ratio), 2),
            "edge_times": round(float(edge.ratio), 2),
            "through": at.limits.through,
        },
    )


def shallowest(at: Together, thickness: float) -> tuple[Steel, Hardening]:
    """Return the steel that hardens least deep, and how a section of it hardens.

    Parameters
    ----------
    at : Together
        Steels, at least one of which turns hard.
    thickness : float
        Of the section [m].

    Returns
    -------
    (Steel, Hardening)
        In the shop's own bath where it is known, else in a usual one of its class.
    """
    found = [(one, hardened(at, one, thickness)) for one in at.turning]
    return min(found, key=lambda one: float(one[1].ratio))


def hardened(at: Together, steel: Steel, thickness: float) -> Hardening:
    """Return how a section of a steel hardens, with the carbon that hardens it least.

    Parameters
    ----------
    at : Together
        Steels of the billet, and the bath.
    steel : Steel
        One that turns hard.
    thickness : float
        Of the section [m].

    Returns
    -------
    Hardening
        In the shop's own bath where it is known, else in a usual one of its class.
    """
    severity = severity_of(at.quench) if at.severity is None else at.severity
    found = [
        hardening_ratio(known(steel), carbon, thickness, severity)
        for carbon in at.carbon(steel)
    ]
    return min(found, key=lambda one: float(one.ratio))


def _depth_said(spine: float, edge: float, at: Together) -> tuple[CheckLevel, str]:
    if edge < at.limits.edge_only:
        return "stop", _(
            "Quenched in {quench}, {steel} does not even harden at an edge "
            "{edge_thickness} thick: it reaches {edge_times} times what that takes. "
            "Take a faster bath, or replace it."
        )
    if spine < at.limits.edge_only:
        return "warn", _(
            "Quenched in {quench}, {steel} hardens at the edge but not at a spine of "
            "{spine_thickness}: it reaches {times} times what that takes. Fine where "
            "the spine may stay softer; else take a faster bath or a thinner spine."
        )
    if spine < at.limits.through:
        return "warn", _(
            "Quenched in {quench}, {steel} may not harden to the middle of a spine of "
            "{spine_thickness}: it reaches {times} times what that takes, {through} is "
            "sure. A faster bath or a thinner spine helps."
        )
    return "ok", _(
        "Quenched in {quench}, even {steel}, which hardens least deep, hardens through "
        "a spine of {spine_thickness}: it reaches {times} times what that takes."
    )


def carbon(at: Together) -> Check:
    """Return whether there is the carbon for 58 to 62 HRC."""
    name = "carbon"
    least, most = (at.levelling.mean_carbon,) * 2 if at.level else at.edge_carbon
    barely, low, high, much = at.limits.carbon
    level, held = not_less(least, (low, barely)), least
    message = _little(level)
    if level == "ok":
        level, held = not_more(most, (high, much)), most
        message = _much(level)
    return Check(
        name=name,
        level=level,
        message=message,
        values={
            "carbon": round(held, 2), "least_carbon": low, "bearable_carbon": barely,
            "most_carbon": high,
        },
    )  # fmt: skip


def _little(level: CheckLevel) -> str:
    if level == "warn":
        return _(
            "{carbon} % carbon is little for 58 HRC: temper low and measure, or take "
            "more of the steel with more carbon; {least_carbon} % is good."
        )
    return _(
        "{carbon} % carbon does not reach 58 HRC; it takes {bearable_carbon} % at "
        "least, and {least_carbon} % is good. Take more of the steel with more carbon."
    )


def _much(level: CheckLevel) -> str:
    if level == "ok":
        return _("{carbon} % carbon is what 58 to 62 HRC take.")
    if level == "warn":
        return _(
            "{carbon} % carbon is much: up to {most_carbon} % is good. Harden at the "
            "lower end of the window, or soft austenite stays behind."
        )
    return _(
        "{carbon} % carbon is too much: up to {most_carbon} % is good. It makes the "
        "edge brittle and leaves soft austenite; take more of the steel with less."
    )
