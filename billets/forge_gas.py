"""What a forge burns and how long its bottles last, as the page of its gas says it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets.comparing import Difference, differences
from billets.fields import SIField
from billets.gas_words import bottles_text, draw_figure, rate_figure
from billets.models import Equipment
from billets.physics.bottle_use import bottle_flags, bottle_report
from billets.physics.bottles import bottle_seconds
from billets.physics.equipment import Forge
from billets.physics.gas_rate import WELDING_DRAW, burner_flow, jet_flags
from billets.units import System
from billets.wording import Figure, Saying, flag_sayings, neat, said

SESSION = 2 * 3600.0
"""A usual session at the forge, which bottles are judged by here [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ForgeGas:
    """All that is said of a forge's gas, or why nothing can be."""

    figures: tuple[Figure, ...] = ()
    sayings: tuple[Saying, ...] = ()
    refusal: str = ""


def forge_gas(forge: Forge, system: System, *, holds: float | None = None) -> ForgeGas:
    """Say what a forge burns; ``holds`` is the gas now in its bottles [kg]."""
    flags = jet_flags(forge)
    shown = [rate_figure(forge, forge.gas_rate, system), *_by_jets(forge, system)]
    full = forge.bottle * forge.bottles if forge.bottle else None
    if holds or full:
        shown += _lasting(forge, holds or full or 0.0, system, now=bool(holds))
    if forge.bottle:
        report = bottle_report(forge, forge.gas_rate * SESSION, SESSION)
        shown.append(draw_figure(report, system))
        flags = (*flags, *bottle_flags(report, forge))
    return ForgeGas(figures=tuple(shown), sayings=tuple(flag_sayings(flags, system)))


def _by_jets(forge: Forge, system: System) -> tuple[Figure, ...]:
    """Say what the jets let through by the book, beside what was weighed."""
    flow = burner_flow(forge)
    if not forge.weighed or flow is None:
        return ()
    source = _("The scale says {share} of that, and the scale counts.").format(
        share=said(forge.gas_rate / flow, "percent", system)
    )
    figure = Figure.of(
        _("By jet and pressure"), said(flow, "mass_rate", system), source=source
    )
    return (figure,)


def _lasting(
    forge: Forge, holds: float, system: System, *, now: bool
) -> tuple[Figure, Figure]:
    """Say how long gas lasts at forging and at welding draw."""
    what = bottles_text(forge.bottles, forge.bottle or holds, system)
    if now:
        what = _("{gas} in the bottles").format(gas=neat(holds, "gas", system))
    # What was weighed is the mean of a session, its welding heats counted in.
    more = 1.0 if forge.weighed else WELDING_DRAW
    draws = (
        (_("Lasts at forging heat"), forge.gas_rate),
        (_("Lasts at welding heat"), more * forge.gas_rate),
    )
    forging, welding = (
        Figure.of(
            label,
            said(bottle_seconds(holds, rate), "hours", system),
            source=_("{what} at {rate}; the last tenth is left in.").format(
                what=what, rate=said(rate, "mass_rate", system)
            ),
        )
        for label, rate in draws
    )
    return forging, welding


# --- two who change it at once -------------------------------------------------------


def kept_meanwhile(
    mine: dict[str, Any], theirs: dict[str, Any], system: System
) -> list[Difference]:
    """Return in which values of a forge's gas two versions differ."""
    return differences(_lines(mine, system), _lines(theirs, system))


def _lines(kept: dict[str, Any], system: System) -> dict[str, str]:
    return {_label(name): _text(name, value, system) for name, value in kept.items()}


def _label(name: str) -> str:
    return capfirst(str(getattr(Equipment._meta.get_field(name), "verbose_name", name)))


def _text(name: str, value: Any, system: System) -> str:
    field = Equipment._meta.get_field(name)
    if value is None:
        return ""
    return neat(value, field.kind, system) if isinstance(field, SIField) else str(value)
