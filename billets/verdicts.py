"""Is the billet enough: said in a sentence that names the way out."""

from __future__ import annotations

import math

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.figures import PlanFigures
from billets.messages import sentence
from billets.physics.errors import PlanError
from billets.physics.fit import Fit
from billets.physics.state import typical
from billets.physics.verdict import Verdict
from billets.units import System
from billets.wording import Saying, mass, neat, said, share, whole

GRAM = 0.001
"""The least mass a sentence tells [kg]."""


def verdict_saying(
    figures: PlanFigures, system: System, way_out: Fit | PlanError | None = None
) -> Saying:
    """Say whether a billet is enough; ``way_out`` is the stack that would be."""
    verdict = figures.verdict
    if verdict is None:
        return Saying(
            level="note",
            first=_("No knife is to come out of this billet yet"),
            rest=_("choose it on the page of a knife."),
        )
    if verdict.enough:
        return Saying(
            level="ok",
            first=_("Enough with a chance of {chance}").format(
                chance=share(verdict.chance)
            ),
            rest=_("{spare} to spare at the {asked} you asked for.").format(
                spare=mass(verdict.spare, system), asked=share(verdict.asked)
            ),
        )
    return _short(figures, verdict, system, way_out)


def _short(
    figures: PlanFigures,
    verdict: Verdict,
    system: System,
    way_out: Fit | PlanError | None,
) -> Saying:
    """Say in what a billet is short, worst first, and what to do."""
    if "mass" in verdict.failing and verdict.spare < 0:
        # Rounded up: what is short is never nothing.
        short = math.ceil(-verdict.spare / GRAM) * GRAM
        first = _("Short by {short}").format(short=mass(short, system))
    elif "mass" in verdict.failing:
        first = _("Not quite enough")
    elif "length" in verdict.failing:
        first = _("The bar comes out too short")
    else:
        first = _("The bar comes out too thin")
    rest = [
        _("it suffices with a chance of {chance}, you asked for {asked}.").format(
            chance=share(verdict.chance), asked=share(verdict.asked)
        )
    ]
    if {"mass", "length"} & set(verdict.failing):
        rest += _longer(figures, way_out, system)
    if "thickness" in verdict.failing:
        rest.append(_thicker(figures, system))
    return Saying(level="warn", first=first, rest=" ".join(rest))


def _longer(
    figures: PlanFigures, way_out: Fit | PlanError | None, system: System
) -> list[str]:
    if isinstance(way_out, PlanError):
        return [sentence(way_out, system)]
    if way_out is None or way_out.stack.length <= figures.spec.length:
        return []
    length = neat(float(way_out.stack.length), "length", system)
    return [_("Lengthen the stack to {length}.").format(length=length)]


def _thicker(figures: PlanFigures, system: System) -> str:
    return _(
        "It comes out {thickness} thick and needs {least}: draw the last step thicker."
    ).format(
        thickness=said(typical(figures.plain.clean_thickness), "thickness", system),
        least=said(max(t.thickness for t in figures.targets), "thickness", system),
    )


def fit_text(fit: Fit, system: System, *, by_pieces: bool = False) -> str:
    """Say what was fitted, the median fit beside it."""
    asked, median = fit.stack, fit.median
    if by_pieces:
        with_chance, planned = (
            ngettext("{count} piece", "{count} pieces", len(one.layers)).format(
                count=whole(len(one.layers))
            )
            for one in (asked, median)
        )
    else:
        with_chance, planned = (
            neat(float(one.length), "length", system) for one in (asked, median)
        )
    return _("With {asked}: {fitted}; if all goes as planned: {median}.").format(
        asked=share(fit.asked), fitted=with_chance, median=planned
    )
