"""Where a knife and an order can stand, and how they get from one place to the next.

This file holds the table of stages; everything else asks it. A knife is in no stage
(``""``) until its order is accepted, then it walks the bench from forging to
sharpening and is delivered; it leaves on the way by being scrapped or cancelled.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from billets.physics.errors import Refusal, _

Loudness = Literal["quiet", "middling", "loud"]
LOUDNESS: tuple[Loudness, ...] = ("quiet", "middling", "loud")
"""What the neighbours hear, from the least."""

NOT_STARTED = ""
"""The stage of a knife whose order has not been accepted."""


class StageError(Refusal):
    """A knife or an order cannot go there; ``values`` are labels of this file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stretch of a knife's way over the bench.

    Attributes
    ----------
    key, label : str
        What rows keep, and what pages show.
    work : tuple of str
        The bench work done in it, in order.
    waiting : tuple of str
        What of that work goes on by itself: quiet, and nobody stands by it.
    hours : tuple of (str, Decimal)
        The rows of estimated hours that fall into it, with the share of each.
    gate : tuple of str
        What has to be true before the knife goes on.
    loudness : {"loud", "middling", "quiet"}
        What the neighbours hear.
    loudness_by_tool : mapping
        The same where a tool changes it.
    """

    key: str
    label: str
    work: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()
    hours: tuple[tuple[str, Decimal], ...] = ()
    gate: tuple[str, ...] = ()
    loudness: Loudness = "quiet"
    loudness_by_tool: Mapping[str, Loudness] = field(
        default_factory=lambda: MappingProxyType({})
    )


FLAW_GATE = "grind"
"""The stage whose gate shows the welds that did not take."""

HOURS_ROWS: Mapping[str, str] = MappingProxyType(
    {
        "billet": _("Billet: stack, weld, draw, restack"),
        "blade_forging": _("Forge the blade, normalise"),
        "grind": _("Grind, before and after hardening"),
        "harden": _("Harden, straighten, temper"),
        "hand_finish": _("Hand finish and etch"),
        "handle": _("Handle"),
        "sharpen": _("Sharpen, photos, pack, papers"),
    }
)
"""What hours are estimated for, with its label. A grind is one row in two stages."""

SLOW_COOLING = _("slow cooling in the closed oven, to soften for grinding")
TEMPERING = _("temper")

PAID = _("The knife is paid.")
"""The sentence of a gate that entered payments answer, where a total was agreed."""

_ALL = Decimal(1)

STAGES: tuple[Stage, ...] = (
    Stage(
        key="forge",
        label=_("Forge"),
        work=(
            _("stack, weld, draw, restack"),
            _("blade forging"),
            _("mark"),
            _("normalise"),
            SLOW_COOLING,
        ),
        waiting=(SLOW_COOLING,),
        hours=(("billet", _ALL), ("blade_forging", _ALL)),
        gate=(
            _("The bar is enough."),
            _("Length and spare are there."),
            _("The blank is straight."),
        ),
        loudness="loud",
        loudness_by_tool=MappingProxyType(
            {"press": "middling", "small anvil": "middling"}
        ),
    ),
    Stage(
        key="grind",
        label=_("Grind"),
        work=(_("profile"), _("rough grind")),
        hours=(("grind", Decimal("0.6")),),
        gate=(_("The flaw hunt is clean."), _("Both sides are photographed.")),
        loudness="middling",
    ),
    Stage(
        key="harden",
        label=_("Harden"),
        work=(_("harden"), _("straighten"), TEMPERING),
        waiting=(TEMPERING,),
        hours=(("harden", _ALL),),
        gate=(
            _("The blade is hard."),
            _("There is no crack."),
            _("The hardness is in its band."),
        ),
    ),
    Stage(
        key="finish",
        label=_("Finish"),
        work=(_("finish grind"), _("hand finish"), _("etch")),
        hours=(("grind", Decimal("0.4")), ("hand_finish", _ALL)),
        gate=(
            _("There is no open line."),
            _("The thickness behind the edge is right."),
        ),
        loudness="middling",
    ),
    Stage(
        key="handle",
        label=_("Handle"),
        work=(_("fit"), _("glue"), _("shape")),
        hours=(("handle", _ALL),),
        gate=(_("There is no gap."), _("The glue is dry.")),
    ),
    Stage(
        key="sharpen",
        label=_("Sharpen"),
        work=(_("sharpen"), _("test"), _("photos"), _("pack, papers")),
        hours=(("sharpen", _ALL),),
        gate=(
            _("The knife is weighed."),
            _("The balance point is measured."),
            PAID,
        ),
    ),
    Stage(
        key="delivered",
        label=_("Delivered"),
        work=(_("care card"), _("number on the knife")),
    ),
)
"""The way of a knife from acceptance to its customer, in order."""

EXITS: Mapping[str, str] = MappingProxyType(
    {"scrapped": _("Scrapped"), "cancelled": _("Cancelled")}
)
"""How a knife leaves the way before its end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Where an order can stand, and where it can go from there."""

    key: str
    label: str
    leads_to: tuple[str, ...] = ()
    waits: bool = False


STATES: tuple[State, ...] = (
    State(
        key="enquiry",
        label=_("Enquiry"),
        leads_to=("quoted", "declined", "cancelled"),
        waits=True,
    ),
    State(
        key="quoted",
        label=_("Quoted"),
        leads_to=("accepted", "declined", "cancelled"),
        waits=True,
    ),
    State(
        key="accepted",
        label=_("Accepted"),
        leads_to=("delivered", "cancelled"),
        waits=True,
    ),
    State(key="delivered", label=_("Delivered")),
    # Whoever said no may ask for another offer.
    State(key="declined", label=_("Declined"), leads_to=("quoted",)),
    State(key="cancelled", label=_("Cancelled")),
)
"""The states of an order; ``waits`` means that somebody still has to do something."""

_STAGES: Mapping[str, Stage] = MappingProxyType({one.key: one for one in STAGES})
_STATES: Mapping[str, State] = MappingProxyType({one.key: one for one in STATES})
_PLACE: Mapping[str, int] = MappingProxyType(
    {one.key: place for place, one in enumerate(STAGES)}
)


def stage_choices() -> list[tuple[str, str]]:
    """Return what a knife's stage may hold, with labels; the way first, then exits."""
    return [(one.key, one.label) for one in STAGES] + list(EXITS.items())


def state_choices() -> list[tuple[str, str]]:
    """Return what an order's state may hold, with labels."""
    return [(one.key, one.label) for one in STATES]


def bench() -> tuple[str, ...]:
    """Return the stages in which a knife is at the bench, in order."""
    return tuple(one.key for one in STAGES if one.hours)


def closed() -> tuple[str, ...]:
    """Return the stages in which nothing is left to do on a knife."""
    return (STAGES[-1].key, *EXITS)


def open_states() -> tuple[str, ...]:
    """Return the states in which an order still waits on somebody."""
    return tuple(one.key for one in STATES if one.waits)


def closed_states() -> tuple[str, ...]:
    """Return the states in which an order waits on nobody."""
    return tuple(one.key for one in STATES if not one.waits)


def stage_of(key: str) -> Stage:
    """Return a stage of the way by its key; StageError if there is none."""
    if key not in _STAGES:
        raise StageError(
            _("There is no stage {stage}; choose one of the list."),
            field="stage",
            stage=key,
        )
    return _STAGES[key]


def gate_of(key: str) -> tuple[str, ...]:
    """Return what must be true before a knife leaves a stage; nothing elsewhere."""
    return _STAGES[key].gate if key in _STAGES else ()


def loudness_of(key: str, tool: str = "hammer") -> Loudness:
    """Return how loud a stage is with the tool that moves the steel."""
    stage = stage_of(key)
    return stage.loudness_by_tool.get(tool, stage.loudness)


def quieter_tools(key: str) -> tuple[str, ...]:
    """Return the tools that make a stage less loud than it usually is."""
    stage = stage_of(key)
    usual = LOUDNESS.index(stage.loudness)
    return tuple(
        tool
        for tool, loudness in stage.loudness_by_tool.items()
        if LOUDNESS.index(loudness) < usual
    )


def next_stage(here: str) -> str | None:
    """Return the stage after one; the first for a knife not started, None at an end."""
    if here == NOT_STARTED:
        return STAGES[0].key
    place = _PLACE.get(here, len(STAGES)) + 1
    return STAGES[place].key if place < len(STAGES) else None


def can_move(here: str, to: str) -> bool:
    """Tell whether a knife may go from one stage straight to another.

    One step forward, or out: cancelled any time before it is delivered, scrapped
    once it has been started. An unknown stage can go nowhere.
    """
    if here in bench():
        return to == next_stage(here) or to in EXITS
    return here == NOT_STARTED and to in (STAGES[0].key, "cancelled")


def check_move(here: str, to: str, *, gate_passed: bool) -> None:
    """Refuse a move that skips a stage or leaves one with its gate unticked."""
    if to not in dict(stage_choices()):
        stage_of(to)
    if not can_move(here, to):
        raise StageError(
            _("A knife cannot go from {here} to {to}; the stage after it is {next}."),
            field="stage",
            here=label_of(here),
            to=label_of(to),
            next=label_of(next_stage(here) or here),
        )
    if to not in EXITS and gate_of(here) and not gate_passed:
        raise StageError(
            _("Look at the gate of {here} and tick it before the knife goes on."),
            field="gate",
            here=label_of(here),
        )


def check_correction(here: str, to: str, *, reason: str, left: str = "") -> None:
    """Refuse a correction that does not undo a move, or does not say why.

    A correction takes a knife back to an earlier stage. A knife that was scrapped
    or cancelled goes back to the stage it ``left``, or to an earlier one; so no
    correction carries a knife past a gate.
    """
    if not reason.strip():
        raise StageError(_("Say why the move was wrong."), field="reason")
    latest = _PLACE.get(left, -1) if here in EXITS else _PLACE.get(here, 0) - 1
    if not 0 <= _PLACE.get(to, len(STAGES)) <= latest:
        raise StageError(
            _("A correction goes back; {to} is no stage passed before {here}."),
            field="stage",
            here=label_of(here),
            to=label_of(to),
        )


def can_change_state(here: str, to: str) -> bool:
    """Tell whether an order may go from one state straight to another."""
    return here in _STATES and to in _STATES[here].leads_to


def check_state(here: str, to: str) -> None:
    """Refuse a change of state that an order cannot make."""
    if not can_change_state(here, to):
        raise StageError(
            _("An order cannot go from {here} to {to}."),
            field="state",
            here=state_label_of(here),
            to=state_label_of(to),
        )


def label_of(key: str) -> str:
    """Return the label of a knife's stage; the key itself where there is none."""
    return dict(stage_choices()).get(key, key) or _("not started")


def state_label_of(key: str) -> str:
    """Return the label of an order's state; the key itself where there is none."""
    return dict(state_choices()).get(key, key)


def hours_by_stage(rows: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return the hours of each stage at the bench from the rows they are told in.

    >>> hours_by_stage({"grind": Decimal(5), "hand_finish": Decimal(2)})["finish"]
    Decimal('4.0')
    """
    return {
        key: sum((rows.get(row, Decimal(0)) * share for row, share in part), Decimal(0))
        for key, part in ((one.key, one.hours) for one in STAGES)
        if part
    }
