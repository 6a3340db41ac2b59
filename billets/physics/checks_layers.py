"""Whether steels lie well on one another: soft layers, expansion, purity."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.checks import (
    NO_GRADE,
    Check,
    CheckLevel,
    not_more,
    unknown_steels,
)
from billets.physics.errors import _
from billets.physics.grades import Grade
from billets.physics.together import Together


def soft_layers(at: Together) -> Check:
    """Return whether what does not harden is little, even and not at the edge."""
    name = "layers that stay soft"
    if at.unknown:
        return unknown_steels(name, at.unknown, NO_GRADE)
    if not at.soft:
        return Check(name=name, level="ok", message=_("Every layer hardens."))
    at_edge = [one for one in at.soft if one in at.edge_layers]
    share = sum(at.share(one) for one in at.soft)
    uneven = any(at.off_middle(one) > at.limits.one_sided for one in at.soft)
    level, message = _soft_said(bool(at_edge), share > at.limits.soft_share, uneven)
    return Check(
        name=name,
        level=level,
        message=message,
        values={
            "steel": ", ".join(one.name for one in at_edge or at.soft),
            "share": share,
            "most_share": at.limits.soft_share,
        },
    )


def _soft_said(at_edge: bool, much: bool, uneven: bool) -> tuple[CheckLevel, str]:  # noqa: FBT001  three plain facts
    if at_edge:
        return "stop", _(
            "{steel} lies at the edge and never hardens there. Put a steel that "
            "hardens in the middle, or leave it out."
        )
    if much:
        return "warn", _(
            "{steel} stays soft and makes up {share} of the thickness, more than "
            "{most_share}: the blade bends more easily. Lay it thinner."
        )
    if uneven:
        return "warn", _(
            "{steel} stays soft, {share} of the thickness, and lies more to one side: "
            "the blade bows in the quench. Lay the stack alike on both sides."
        )
    return "ok", _(
        "{steel} stays soft, but is only {share} of the thickness, alike on both sides."
    )


def expansion(at: Together) -> Check:
    """Return whether touching steels grow alike when heated."""
    name = "expansion"
    known = {
        one: one.grade.expansion
        for one in at.steels
        if one.grade and one.grade.expansion is not None
    }
    missing = tuple(one for one in at.steels if one not in known)
    spreads = {
        pair: round(abs(known[pair[0]] - known[pair[1]]), 12)
        for pair in at.touching
        if pair[0] in known and pair[1] in known
    }
    worst = max(spreads, key=spreads.__getitem__, default=None)
    level = "ok" if worst is None else not_more(spreads[worst], at.limits.expansion)
    if missing and level == "ok":
        message = _("Not checked: no expansion is known of {steel}.")
        return unknown_steels(name, missing, message)
    if worst is None:
        return Check(name=name, level="ok", message=_("Only one steel is left."))
    if level == "stop" and not _thick_skinned(at):
        level = "warn"
    return Check(
        name=name,
        level=level,
        message=_expansion_message(level),
        values={
            "first": worst[0].name,
            "second": worst[1].name,
            "spread": round(1e6 * spreads[worst], 1),
            "fine": 1e6 * at.limits.expansion[0],
        },
    )


def _thick_skinned(at: Together) -> bool:
    """Return whether an outer layer is thick."""
    return max(at.layers[0][1], at.layers[-1][1]) >= at.limits.thick_skin


def _expansion_message(level: CheckLevel) -> str:
    if level == "ok":
        return _(
            "Heated, steels that touch grow alike: at most {spread} millionths a "
            "kelvin apart ({first} and {second})."
        )
    if level == "warn":
        return _(
            "Heated, {first} and {second} grow {spread} millionths a kelvin apart, "
            "more than {fine}: heat and cool slowly, and straighten hot."
        )
    return _(
        "Heated, {first} and {second} grow {spread} millionths a kelvin apart, more "
        "than {fine}, and the outer layers are thick: they pull the blade or part. "
        "Replace one of them, or make the outer layers thinner."
    )


@dataclass(frozen=True, slots=True)
class _Impurity:
    """Something a steel holds too much of."""

    steel: Steel
    element: str
    content: float
    most: float
    worst: bool = False


def purity(at: Together) -> Check:
    """Return whether sulphur, phosphorus and copper are low enough to forge."""
    name = "sulphur, phosphorus, copper"
    found = [one for steel in at.steels for one in _impurities(steel, at)]
    if not found:
        missing = tuple(one for one in at.steels if not _certified(one.grade))
        if missing:
            message = _(
                "Not checked: no certificate of {steel} says what sulphur, phosphorus "
                "and copper it holds. Enter them with the steel."
            )
            return unknown_steels(name, missing, message)
        message = _("All steels are clean enough to forge and weld.")
        return Check(name=name, level="ok", message=message)
    bad = max(found, key=lambda one: (one.worst, one.content / one.most))
    sulphur = bad.element == "sulphur"
    level: CheckLevel = "stop" if bad.worst and sulphur else "warn"
    return Check(
        name=name,
        level=level,
        message=_purity_message(bad),
        values={
            "steel": bad.steel.name,
            "element": _IMPURITY_WORDS[bad.element],
            "content": bad.content,
            "most_content": bad.most,
        },
    )


_IMPURITY_WORDS = {
    "sulphur": _("sulphur"), "phosphorus": _("phosphorus"), "copper": _("copper"),
}  # fmt: skip


def _certified(grade: Grade | None) -> bool:
    if grade is None:
        return False
    return None not in (grade.sulphur, grade.phosphorus, grade.copper)


def _impurities(steel: Steel, at: Together) -> Iterator[_Impurity]:
    grade, limits = steel.grade, at.limits
    if grade is None:
        return
    for element in ("sulphur", "phosphorus", "copper"):
        content, most = getattr(grade, element), getattr(limits, element)
        if content is None or content <= most:
            continue
        worst = element == "sulphur" and content > limits.worst_sulphur
        # Nickel, half as much as copper or more, keeps it from running between grains.
        bare = element == "copper" and grade.nickel < content / 2.0
        yield _Impurity(steel, element, content, most, worst or bare)


def _purity_message(bad: _Impurity) -> str:
    if bad.element == "sulphur" and bad.worst:
        return _(
            "{steel} holds {content} % {element}, for machining: it crumbles when "
            "forged hot. Up to {most_content} % is fine; take another steel."
        )
    if bad.element == "copper" and bad.worst:
        return _(
            "{steel} holds {content} % {element} with too little nickel beside it: its "
            "skin may crack in the fire. Up to {most_content} % is fine; keep heats "
            "short, or take another lot."
        )
    return _(
        "{steel} holds {content} % {element}; up to {most_content} % is fine. Forge a "
        "test piece hot and look for cracks, or take another lot."
    )
