"""What of a knife can still be changed at its stage, and why the rest cannot.

Sizes are free until the blade is forged, then as far as the blank holds them, then
only smaller; everything else is free up to the gate of the stage that makes it. Which
stage makes what is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from billets.physics.errors import Flag, _
from billets.physics.knife_spec import KnifeSpec, spec_fittings
from quotes.changes_after.held import Left, beyond, steel_left
from quotes.errors import QuoteError
from shop import stages

Phase = Literal["free", "now", "blank", "ground", "less", "gone"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A knife as it is, or as it is wanted."""

    spec: KnifeSpec
    hardness: float
    finish: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What of a knife is made together, and so changed together.

    Attributes
    ----------
    key, label : str
        What it is.
    fields : tuple of str
        Columns of the knife.
    last : str
        The stage up to whose gate it can be changed.
    rows : tuple of str
        The rows of hours a change of it undoes.
    sentences : mapping of Phase to str
        What is said of it in each phase.
    """

    key: str
    label: str
    fields: tuple[str, ...]
    last: str
    rows: tuple[str, ...]
    sentences: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Whether a part can be changed now: a sentence with its level."""

    part: Part
    phase: Phase
    flag: Flag


def _said(**sentences: str) -> Mapping[str, str]:
    return MappingProxyType(sentences)


PARTS: tuple[Part, ...] = (
    Part(
        key="blade",
        label=_("Blade: kind, sizes, grind"),
        fields=(
            "family", "length", "height", "heel_thickness", "middle_thickness",
            "tip_thickness", "grind", "behind_edge",
        ),
        last="finish",
        rows=("billet", "blade_forging", "grind"),
        sentences=_said(
            free=_("Free: nothing is forged yet."),
            now=_(
                "Free as long as the blade is not forged. If it is, move the knife on "
                "past the gate of Forge first: its sizes are then held against the "
                "blank."
            ),
            blank=_(
                "As far as the forged blank holds it: up to {most_length} long, "
                "{most_height} high and {most_thickness} thick above the heel."
            ),
            ground=_(
                "Only smaller, the blade is ground: up to {most_length} long, "
                "{most_height} high and {most_thickness} thick above the heel."
            ),
            gone=_(
                "Not any more: the blade is finished and etched. A blade of another "
                "shape or size is a new knife."
            ),
        ),
    ),
    Part(
        key="forging",
        label=_("How it is forged"),
        fields=("forging", "allowance"),
        last="forge",
        rows=("blade_forging",),
        sentences=_said(
            free=_("Free: nothing is forged yet."),
            now=_("Free as long as the blade is not forged."),
            gone=_("Not any more: the blade is forged. Leave this as it was."),
        ),
    ),
    Part(
        key="tang",
        label=_("Tang and neck"),
        fields=("tang", "neck_length", "tang_length"),
        last="handle",
        rows=("blade_forging", "handle"),
        sentences=_said(
            free=_("Free: nothing is forged yet."),
            now=_("Free as long as the tang is not forged."),
            less=_(
                "Only shorter, it is forged: a neck of up to {neck_length}, a tang of "
                "up to {tang_length} in the handle."
            ),
            gone=_(
                "Not any more: the handle is glued on. Another tang is a new knife."
            ),
        ),
    ),
    Part(
        key="hardness",
        label=_("Hardness"),
        fields=("hardness",),
        last="harden",
        rows=("harden",),
        sentences=_said(
            free=_("Free: the blade is not hardened."),
            now=_(
                "Free as long as the blade is not tempered; after that it can only "
                "become softer."
            ),
            gone=_(
                "Not any more: the blade is hardened and tempered. Only a knife taken "
                "back to Harden can be tempered again, and then it becomes softer."
            ),
        ),
    ),
    Part(
        key="finish",
        label=_("Finish"),
        fields=("finish",),
        last="finish",
        rows=("hand_finish",),
        sentences=_said(
            free=_("Free: the blade is not finished."),
            now=_("Free as long as the blade is not etched."),
            gone=_(
                "Not any more: the blade is finished. Another finish means taking the "
                "knife back to Finish, the handle in the way."
            ),
        ),
    ),
    Part(
        key="handle",
        label=_("Handle"),
        fields=(
            "handle", "handle_material", "handle_length", "ferrule", "bolster_mass"
        ),
        last="handle",
        rows=("handle",),
        sentences=_said(
            free=_("Free: the handle is not begun. Wood that is bought may be lost."),
            now=_("Free as long as the handle is not glued on."),
            gone=_(
                "Not any more: the handle is glued on. Another one means taking the "
                "knife back to Handle and cutting this one off."
            ),
        ),
    ),
    Part(
        key="edge",
        label=_("Angle of the edge"),
        fields=("edge_angle",),
        last="sharpen",
        rows=("sharpen",),
        sentences=_said(
            free=_("Free: the knife is not sharpened."),
            now=_("Free as long as the knife is not handed over."),
            gone=_("Not any more: the knife is handed over. It can be sharpened anew."),
        ),
    ),
)  # fmt: skip
"""Everything a customer can change, in the order of the work."""

WHY: Mapping[str, str] = MappingProxyType(
    {
        "length": _(
            "The steel gives a blade of up to {most_length}: a longer one can only be "
            "forged anew, as a new knife."
        ),
        "height": _(
            "The steel gives a blade up to {most_height} high at the heel, in the same "
            "outline: ask for less, or forge a new one."
        ),
        "heel_thickness": _(
            "The steel gives a spine of up to {most_thickness} above the heel: steel "
            "can only be taken off now."
        ),
        "middle_thickness": _(
            "The steel gives a spine of up to {middle} at the middle of the blade it "
            "was made for: steel can only be taken off now."
        ),
        "tip_thickness": _(
            "The steel gives a spine of up to {tip} before the tip of the blade it was "
            "made for: steel can only be taken off now."
        ),
        "family": _(
            "The outline of this kind of knife does not lie inside the steel there is: "
            "a lower or shorter one may, else it is a new knife."
        ),
        "grind": _(
            "This grind is thicker than the steel there is: a thinner one can still be "
            "ground."
        ),
        "behind_edge": _(
            "Behind the edge the steel is as thin as {behind_edge} already: it can "
            "only become thinner."
        ),
    }
)
"""Why a blade does not come out of the steel there is, and what would."""

_PLACE = {one.key: place for place, one in enumerate(stages.STAGES)}
_FORGE = stages.STAGES[0].key
_GROUND_AFTER = stages.FLAW_GATE


def passed(stage: str) -> tuple[str, ...]:
    """Return the stages whose gates a knife has passed, in order.

    >>> passed("harden")
    ('forge', 'grind')
    """
    return tuple(key for key in stages.bench() if _PLACE[key] < _PLACE.get(stage, 0))


def phase_of(part: Part, stage: str) -> Phase:
    """Return how far a part can still be changed at a stage."""
    place, last = _PLACE.get(stage, -1), _PLACE[part.last]
    if stage in stages.EXITS or place > last:
        return "gone"
    forged = place > _PLACE[_FORGE]
    if forged and part.key == "blade":
        return "blank" if place <= _PLACE[_GROUND_AFTER] else "ground"
    if forged and part.key == "tang":
        return "less"
    made_here = last if part.key not in ("blade", "tang") else _PLACE[_FORGE]
    return "now" if place == made_here else "free"


def standings(stage: str, now: KnifeSpec) -> tuple[Standing, ...]:
    """Return what can still be changed of a knife at a stage, and what cannot."""
    levels: Mapping[str, Literal["note", "amber", "red"]] = {
        "free": "note", "gone": "red"
    }  # fmt: skip
    found = []
    for part in PARTS:
        phase = phase_of(part, stage)
        flag = Flag(
            message=part.sentences[phase], field=part.fields[0],
            level=levels.get(phase, "amber"), values=_values(phase, now),
        )  # fmt: skip
        found.append(Standing(part=part, phase=phase, flag=flag))
    return tuple(found)


def _values(phase: Phase, now: KnifeSpec) -> dict[str, object]:
    if phase in ("blank", "ground"):
        return _left_values(steel_left(now, ground=phase == "ground"))
    if phase == "less":
        length = spec_fittings(now).tang.length
        return {"neck_length": now.neck_length, "tang_length": length}
    return {}


def _left_values(left: Left) -> dict[str, object]:
    return {
        "most_length": left.length, "most_height": left.height,
        "most_thickness": left.heel, "middle": left.middle, "tip": left.tip,
        "behind_edge": left.spec.behind_edge,
    }  # fmt: skip


# --- one wish ----------------------------------------------------------------------


def changed_fields(now: Wanted, then: Wanted) -> frozenset[str]:
    """Return the columns of a knife in which a wish differs from what is written."""
    names = [name for part in PARTS for name in part.fields]
    return frozenset(
        name for name in names if _differs(_value(now, name), _value(then, name))
    )


def _value(one: Wanted, name: str) -> object:
    if name in ("hardness", "finish"):
        return getattr(one, name)
    if name == "tang_length":
        return spec_fittings(one.spec).tang.length
    return getattr(one.spec, name)


def _differs(before: object, after: object) -> bool:
    if isinstance(before, float) and isinstance(after, float):
        return not math.isclose(before, after, rel_tol=1e-9, abs_tol=1e-9)
    return (before or "") != (after or "")


def parts_changed(now: Wanted, then: Wanted) -> tuple[Part, ...]:
    """Return the parts of a knife that a wish changes."""
    names = changed_fields(now, then)
    return tuple(part for part in PARTS if names & set(part.fields))


def rows_begun(stage: str) -> frozenset[str]:
    """Return the rows of hours whose work is begun once a knife stands at a stage.

    >>> sorted(rows_begun("forge"))
    ['billet', 'blade_forging']
    """
    here = _PLACE.get(stage, -1)
    return frozenset(
        row for one in stages.STAGES[: here + 1] for row, _share in one.hours
    )


def refusals(stage: str, now: Wanted, then: Wanted) -> tuple[QuoteError, ...]:
    """Return why a wish cannot be met at a stage, a sentence for each box.

    Each says why, and what would still be possible; none is empty: it can be met.
    """
    names = changed_fields(now, then)
    found: list[QuoteError] = []
    for part in PARTS:
        own = [name for name in part.fields if name in names]
        if own:
            found += _refused(part, phase_of(part, stage), own, (now, then))
    return tuple(found)


def _refused(
    part: Part, phase: Phase, names: list[str], wish: tuple[Wanted, Wanted]
) -> Iterator[QuoteError]:
    now, then = wish[0].spec, wish[1].spec
    if phase == "gone":
        for name in names:
            yield QuoteError(part.sentences["gone"], field=name)
    elif phase in ("blank", "ground"):
        left = steel_left(now, ground=phase == "ground")
        for name in beyond(left, then):
            yield QuoteError(WHY[name], field=name, **_left_values(left))
    elif phase == "less":
        yield from _longer_tang(now, then)


def _longer_tang(now: KnifeSpec, then: KnifeSpec) -> Iterator[QuoteError]:
    if then.tang != now.tang:
        yield QuoteError(
            _("The tang is forged: another kind of tang is a new knife."), field="tang"
        )
        return
    if then.neck_length > now.neck_length + 1e-9:
        yield QuoteError(
            _("The neck is forged {neck_length} long: it can only become shorter."),
            field="neck_length", neck_length=now.neck_length,
        )  # fmt: skip
    own, asked = (spec_fittings(one).tang.length for one in (now, then))
    if asked > own + 1e-9:
        full = now.tang == "full"
        yield QuoteError(
            _("The full tang is forged {tang_length} long, and the handle is as long: "
              "it can only become shorter.")
            if full else
            _("The tang is forged {tang_length} long: type that as its length, or "
              "less, and the handle can still be another."),
            field="handle_length" if full else "tang_length", tang_length=own,
        )  # fmt: skip


def cautions(stage: str, now: Wanted, then: Wanted) -> tuple[Flag, ...]:
    """Return what to look at at the bench before a wish that can be met is met."""
    changed = {part.key for part in parts_changed(now, then)}
    return tuple(
        one.flag
        for one in standings(stage, now.spec)
        if one.part.key in changed and one.phase == "now"
    )
