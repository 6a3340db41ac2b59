"""The stages on a build sheet: work, plan, what is filled in, gate, cautions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from babel.lists import format_list
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, pgettext_lazy

from billets.messages import spoken
from billets.physics.blank import ALLOWANCES, clean_allowance
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import spec_fittings
from billets.units import System, label_unit, locale_of
from billets.wording import bare, said
from quotes.offer.specification import LABELS, Specified, specification
from quotes.sheets.cautions import HOT, cautions_for
from quotes.sheets.treatment import treatment_lines
from quotes.sheets.words import joined, mass_text
from shop import stages
from shop.models import Shop
from shop.services import spec_of

Row = tuple[str, str]

HOURS = ("¼", "½", "1", "2", "3", "4+")
"""Hours to tick: what a stage took, near enough to learn from."""

SPENT: Mapping[str, str] = MappingProxyType(
    {
        "billet": gettext_noop("billet"),
        "blade_forging": gettext_noop("blade"),
        "grind": gettext_noop("grinding"),
        "hand_finish": gettext_noop("hand finish"),
    }
)
"""Rows of hours where a stage has two: ticks for each, as on the knife's page."""

WRONG = (
    pgettext_lazy("flaw", "weld"),
    gettext_lazy("crack"),
    gettext_lazy("warp"),
    gettext_lazy("too small"),
    gettext_lazy("other"),
)
"""What can go wrong, in words to tick."""

LOUDNESS: Mapping[str, str] = MappingProxyType(
    {
        "loud": gettext_noop("loud"),
        "middling": gettext_noop("middling loud"),
        "quiet": gettext_noop("quiet"),
    }
)

QUIETER: Mapping[str, str] = MappingProxyType(
    {
        "press": gettext_noop("the press"),
        "small anvil": gettext_noop("a small anvil"),
    }
)
"""How a tool is called that makes less noise."""

BLANKS: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "forge": (
            (gettext_noop("heats"), ""),
            (gettext_noop("blank cold, {unit}"), "mass"),
            (gettext_noop("spine, {unit}"), "thickness"),
            (gettext_noop("oven from – to"), ""),
        ),
        "grind": (
            (gettext_noop("edge left, {unit}"), "fine"),
            (gettext_noop("belts"), ""),
            (gettext_noop("line, {unit} from heel"), "length"),
        ),
        "harden": (
            (gettext_noop("hard {unit}, soak"), "temperature"),
            (gettext_noop("medium, {unit}"), "temperature"),
            (gettext_noop("temper {unit}, h, times"), "temperature"),
            (gettext_noop("warp, {unit}"), "thickness"),
            (gettext_noop("HRC"), ""),
        ),
        "finish": (
            (gettext_noop("behind edge, {unit}"), "fine"),
            (gettext_noop("last grit"), ""),
            (gettext_noop("etch, min × times"), ""),
        ),
        "handle": (
            (gettext_noop("lot of material"), ""),
            (gettext_noop("glued at"), ""),
            (gettext_noop("dry at"), ""),
        ),
        "sharpen": (
            (gettext_noop("knife, {unit}"), "mass"),
            (gettext_noop("balance, {unit}"), "length"),
            (gettext_noop("angle a side"), ""),
        ),
    }
)
"""What is written in at a stage, with the kind of quantity it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageBlock:
    """One stage of the sheet."""

    key: str
    label: str
    loudness: str
    work: str
    planned: tuple[Row, ...]
    notes: tuple[str, ...]
    blanks: tuple[str, ...]
    hours: tuple[str, ...]
    gate: tuple[str, ...]
    cautions: tuple[str, ...]
    extinguisher: str


def stage_blocks(one: Specified, shop: Shop, system: System) -> tuple[StageBlock, ...]:
    """Return every stage at the bench, in order."""
    promised, treated = specification(one, system), treatment_lines(one, system)
    tool = one.figures.spec.tool.kind
    return tuple(
        StageBlock(
            key=key,
            label=_(stages.stage_of(key).label),
            loudness=_(LOUDNESS[stages.loudness_of(key, tool)]),
            work=_work(key),
            planned=(*_planned(key, one, promised, system), *treated.get(key, ())),
            notes=_notes(key),
            blanks=tuple(_blank(*blank, system) for blank in BLANKS[key]),
            hours=_hours(key),
            gate=tuple(_(line) for line in stages.gate_of(key)),
            cautions=tuple(_(caution.line) for caution in cautions_for(key)),
            extinguisher=_extinguisher(shop) if key in HOT else "",
        )
        for key in stages.bench()
    )


def _hours(stage: str) -> tuple[str, ...]:
    """Return what hours are asked for at a stage; one row needs no name."""
    rows = [row for row, _share in stages.stage_of(stage).hours]
    return tuple(_(SPENT[row]) for row in rows) if len(rows) > 1 else ("",)


def _blank(label: str, kind: str, system: System) -> str:
    return _(label).format(unit=label_unit(kind, system) if kind else "")


def _extinguisher(shop: Shop) -> str:
    place = shop.extinguisher.strip()
    if place:
        return _("Extinguisher: {place}").format(place=place)
    return _("Extinguisher (write down where it hangs):")


def _work(stage: str) -> str:
    """Return what is done at a stage, without what goes on by itself."""
    one = stages.stage_of(stage)
    return ", ".join(_(work) for work in one.work if work not in one.waiting)


def _notes(stage: str) -> tuple[str, ...]:
    """Say what waits in a stage, and what the neighbours would thank for."""
    waiting = (_(work) for work in stages.stage_of(stage).waiting)
    notes = [
        _("Then waiting, and quiet: {work}.").format(work=work) for work in waiting
    ]
    tools = [_(QUIETER.get(tool, tool)) for tool in stages.quieter_tools(stage)]
    if tools:
        named = format_list(tools, "or", locale=locale_of(spoken()))
        notes.append(_("Quieter: {tools}.").format(tools=named))
    return tuple(notes)


# --- what is planned -------------------------------------------------------------

Planned = Callable[[Specified, Mapping[str, str], System], tuple[Row, ...]]


def _planned(
    stage: str, one: Specified, promised: Mapping[str, str], system: System
) -> tuple[Row, ...]:
    rows = PLANNED[stage](one, promised, system)
    return tuple((label, text) for label, text in rows if text)


def _forge(
    one: Specified, _promised: Mapping[str, str], system: System
) -> tuple[Row, ...]:
    """Return to which sizes the blank is forged, cold, and what it will weigh."""
    blank, less = one.result.blank, _less_on_a_side(one)
    outline = [said(size, "length", system) for size in (blank.length, blank.height)]
    spine = [size - 2.0 * less for size in blank.thicknesses]
    return (
        (_("Forge to, cold"), joined(outline, " × ")),
        (_("Spine heel, middle, tip"), _spine(spine, blank.edge, system)),
        (_("Neck, tang"), _behind(one, system)),
        (_("Blank"), _blank_mass(one, system)),
    )


def _spine(sizes: list[float], edge: float, system: System) -> str:
    return _("{sizes}, edge {edge}").format(
        sizes=joined([said(size, "thickness", system) for size in sizes], " – "),
        edge=said(edge, "thickness", system),
    )


def _less_on_a_side(one: Specified) -> float:
    """Return how much less a bar that was ground clean leaves to grind [m]."""
    if not one.figures.plain.clean:
        return 0.0
    allowance = ALLOWANCES[one.knife.allowance]
    return allowance.side - clean_allowance(allowance).side


def _behind(one: Specified, system: System) -> str:
    """Say how long neck and tang are forged, and how much stouter."""
    spec = spec_of(one.knife)
    tang = spec_fittings(spec).tang
    more = ALLOWANCES[spec.allowance].tang - 1.0
    front, end = tang.heights
    return _("{neck} + {tang}, {front} to {end} high, + {more} steel").format(
        neck=bare(said(spec.neck_length, "length", system)),
        tang=said(tang.length, "length", system),
        front=bare(said(front, "length", system)),
        end=said(end, "length", system),
        more=said(more, "percent", system),
    )


def _blank_mass(one: Specified, system: System) -> str:
    """Say what the blank weighs, with its band, and how much of it is ground off."""
    spec, clean = spec_of(one.knife), one.figures.plain.clean
    blanks = [weigh_knife(replace(spec, allowance=key)).blank for key in ALLOWANCES]
    masses = [blank.clean_mass if clean else blank.mass for blank in blanks]
    blank = one.result.blank
    mass = blank.clean_mass if clean else blank.mass
    off = mass - (blank.mass - blank.ground_off)
    return _("{mass} ({low} to {high}), {off} of it ground off").format(
        mass=mass_text(mass, system),
        low=bare(mass_text(min(masses), system)),
        high=mass_text(max(masses), system),
        off=mass_text(off, system),
    )


def _grind(
    _one: Specified, promised: Mapping[str, str], _system: System
) -> tuple[Row, ...]:
    return _rows(promised, "length", "height", "spine", "grind")


def _harden(
    _one: Specified, promised: Mapping[str, str], _system: System
) -> tuple[Row, ...]:
    return _rows(promised, "hardness")


def _finish(
    _one: Specified, promised: Mapping[str, str], _system: System
) -> tuple[Row, ...]:
    return _rows(promised, "edge", "finish")


def _handle(
    _one: Specified, promised: Mapping[str, str], _system: System
) -> tuple[Row, ...]:
    return _rows(promised, "handle", "fittings")


def _sharpen(
    _one: Specified, promised: Mapping[str, str], _system: System
) -> tuple[Row, ...]:
    return _rows(promised, "edge", "mass", "balance")


PLANNED: Mapping[str, Planned] = MappingProxyType(
    {
        "forge": _forge,
        "grind": _grind,
        "harden": _harden,
        "finish": _finish,
        "handle": _handle,
        "sharpen": _sharpen,
    }
)
"""What is planned of a knife at each stage."""


def _rows(promised: Mapping[str, str], *keys: str) -> tuple[Row, ...]:
    return tuple((capfirst(str(LABELS[key])), promised.get(key, "")) for key in keys)
