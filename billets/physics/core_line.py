"""A core between two jackets: where its line stands on the blade, and what it forgives.

Plane geometry; the limits are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from billets.physics.blade_cut import BladeCut, knife_cut, wedge_cut
from billets.physics.core_shown import core_shown, middle_layer
from billets.physics.errors import Flag, _
from billets.physics.knife_spec import spec_blade
from billets.physics.results import PlanResult
from billets.physics.state import typical
from billets.physics.verdict import Target

LEAST_SHARE = 0.15
"""Share of the thickness from which a stacked middle layer is a core [1]."""

SYMMETRIC = 0.50
"""Jackets differing by up to so much of their mean lie about a middle [1]."""

STANDS_OUT = 2.0
"""Thickness of a core over that of any other layer of its steel, at least [1]."""

LEAST_MARGIN = 0.15e-3
"""Core beside the edge below which it may be ground into a jacket [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreLayer:
    """The middle layer of a billet that is a core.

    Attributes
    ----------
    steel : str
        Key of its steel.
    share : float
        Of the thickness [1].
    offset : float
        From the middle of the billet to the middle of the core, over the thickness;
        downwards above zero [1].
    """

    steel: str
    share: float
    offset: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreLine:
    """How a core shows on one knife.

    Attributes
    ----------
    label : str
        Which knife.
    near, far : float
        Height of the line above the edge on either side; 0 where a jacket covers the
        core down to the edge, the blade's height where it covers nothing [m].
    margin : float
        Core left on the thinner side of the edge, at the top of the edge bevel; below
        zero where the edge lies in a jacket [m].
    uneven : float
        How much more one side may be ground than the other until the edge leaves the
        core; 0 where it has left it [m].
    single : bool
        Whether the knife is ground from one side only.
    """

    label: str
    near: float
    far: float
    margin: float
    uneven: float
    single: bool


def core_of(result: PlanResult) -> CoreLayer | None:
    """Return the core of a billet, laid in or stacked from bars; None without one.

    Parameters
    ----------
    result : PlanResult
        Its layers at the end of the plan, and its steps.

    Returns
    -------
    CoreLayer or None
        The layer that holds the middle, where it was laid in or is thick enough,
        stands out and has much the same on either side; a twist after it was laid
        winds its faces up, so that it has no line.
    """
    laid = max((one.number for one in result.pattern if one.kind == "core"), default=0)
    later = {step.kind for step in result.steps if step.number > laid}
    if "twist" in later:
        return None
    least = 0.0 if laid and not later & {"cut", "fold"} else LEAST_SHARE
    ends = list(accumulate(share for _key, share in result.sequence))
    place = middle_layer(result.sequence)
    steel, share = result.sequence[place]
    above, below = ends[place] - share, 1.0 - ends[place]
    alike = abs(above - below) <= SYMMETRIC * (above + below) / 2.0
    others = result.sequence[:place] + result.sequence[place + 1 :]
    thickest = max((one for key, one in others if key == steel), default=0.0)
    clear = share >= max(least, STANDS_OUT * thickest)
    if not (clear and alike and min(above, below) > 0.0):
        return None
    return CoreLayer(steel=steel, share=share, offset=(above - below) / 2.0)


def target_cut(target: Target, result: PlanResult) -> BladeCut | None:
    """Return the cut across a knife that is to come out of a bar.

    Parameters
    ----------
    target : Target
        The knife [m].
    result : PlanResult
        The bar, float or array (draws,) [m].

    Returns
    -------
    BladeCut or None
        Of the knife itself where it is known, of a flat wedge where its sizes are;
        None where neither is.
    """
    bar = typical(result.clean_thickness)
    if target.knife is not None:
        return knife_cut(target.knife, bar=bar, clean=result.clean)
    if not (target.blade_height > 0.0 and target.spine > target.behind_edge):
        return None
    return wedge_cut(
        target.blade_height,
        target.spine,
        behind_edge=target.behind_edge,
        blank=max(target.thickness, target.spine),
        bar=bar,
    )


def core_lines(result: PlanResult, targets: Sequence[Target]) -> tuple[CoreLine, ...]:
    """Return how the core of a billet shows on its knives.

    Parameters
    ----------
    result : PlanResult
        The billet, float or array (draws,) [m].
    targets : sequence of Target
        The knives [m].

    Returns
    -------
    tuple of CoreLine
        One for each knife of known size; none without a core.

    Notes
    -----
    Drawing and forging thin core and jackets alike, toward the edge too where bevels
    are forged; grinding takes jacket only. So the core keeps its share of the blank,
    not of the finished blade.
    """
    if core_of(result) is None:
        return ()
    cuts = ((target, target_cut(target, result)) for target in targets)
    return tuple(_line(result, target, cut) for target, cut in cuts if cut is not None)


def _line(result: PlanResult, target: Target, cut: BladeCut) -> CoreLine:
    shown = core_shown(result.sequence, cut, middle_layer(result.sequence))
    return CoreLine(
        label=target.label,
        near=shown.near,
        far=shown.far,
        margin=shown.margin,
        uneven=max(0.0, 2.0 * shown.margin),
        single=target.knife is not None and spec_blade(target.knife).grind.single,
    )


def is_thin(line: CoreLine) -> bool:
    """Return whether a knife has less than 0.15 mm of core beside its edge."""
    return line.margin < LEAST_MARGIN - 1e-12


def core_line_flags(result: PlanResult, targets: Sequence[Target]) -> tuple[Flag, ...]:
    """Return what to say where a core is too thin for the edge it shall carry.

    Parameters
    ----------
    result : PlanResult
        The billet, float or array (draws,) [m].
    targets : sequence of Target
        The knives [m].

    Returns
    -------
    tuple of Flag
        A sentence for each knife with less than 0.15 mm of core beside its edge.
    """
    return tuple(_thin(line) for line in core_lines(result, targets) if is_thin(line))


def _thin(line: CoreLine) -> Flag:
    if line.single:
        message = _(
            "{label}: ground from one side, its edge comes to lie beside the middle, "
            "and less than {least_core} of core is left there. A core between two "
            "jackets wants a knife ground from both sides."
        )
    elif line.margin > 0.0:
        message = _(
            "{label}: only {edge_core} of core is left beside the edge, less than the "
            "{least_core} that grinding may be off. Lay in a thicker core or thinner "
            "jackets, or forge the edge thicker."
        )
    else:
        message = _(
            "{label}: the edge comes to lie in a jacket; {least_core} of core should "
            "be left on either side of it. Lay in a thicker core or thinner jackets, "
            "or forge the edge thicker."
        )
    said = {
        "label": line.label,
        "edge_core": max(0.0, line.margin),
        "least_core": LEAST_MARGIN,
    }
    return Flag(message=message, field="layers", level="red", values=said)
