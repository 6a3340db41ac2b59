"""The grinds a customer can choose, and the sections they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from billets.physics.errors import PlanError, _
from billets.physics.families import Family
from billets.physics.section import Grind

FAMILY_GRIND = "family"
"""Names the grind that is usual for the family."""

GRIND_LABELS: Mapping[str, str] = MappingProxyType(
    {
        FAMILY_GRIND: _("usual for this kind of knife"),
        "full_flat": _("full flat"),
        "convex": _("convex"),
        "wide_bevel": _("wide bevel"),
        "single_bevel": _("single bevel"),
    }
)
"""Plain names of the grinds, in the order they are offered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """Crown, bevel and shoulder of a grind, and its hollow back."""

    crown: float
    bevel: float
    shoulder: float = 1.0
    hollow: float = 0.0
    rim: float = 0.0


_SHAPES: Mapping[str, _Shape] = MappingProxyType(
    {
        "full_flat": _Shape(crown=0.0, bevel=1.0),
        "convex": _Shape(crown=0.08, bevel=0.75),
        "wide_bevel": _Shape(crown=0.0, bevel=0.65),
        "single_bevel": _Shape(
            crown=0.0, bevel=0.45, shoulder=0.85, hollow=0.00025, rim=0.003
        ),
    }
)
"""Common practice, no source. Convex is what eight weighed knives were matched with;
wide bevel has its line at 65 % of the height, the low end of what makers report; the
single bevel lies between those of the two single-bevel families."""


def chosen_grind(
    kind: Family, choice: str, *, behind_edge: float, edge_angle: float
) -> Grind:
    """Return the section a choice of grind stands for.

    Parameters
    ----------
    kind : Family
        The family, for its usual grind.
    choice : str
        A key of ``GRIND_LABELS``.
    behind_edge : float
        Thickness at the shoulder of the edge bevel [m].
    edge_angle : float
        Edge bevel per side [rad].

    Returns
    -------
    Grind
        The section. A family that is ground on one side keeps its own single bevel.
    """
    if choice not in GRIND_LABELS:
        raise PlanError(
            _("{grind} is not a grind known here; choose one from the list."),
            field="grind",
            grind=choice,
        )
    own = choice == "single_bevel" and kind.grind.single
    if choice == FAMILY_GRIND or own:
        return replace(kind.grind, behind_edge=behind_edge, edge_angle=edge_angle)
    shape = _SHAPES[choice]
    return Grind(
        behind_edge=behind_edge,
        edge_angle=edge_angle,
        crown=shape.crown,
        bevel=shape.bevel,
        shoulder=shape.shoulder,
        single=choice == "single_bevel",
        hollow=shape.hollow,
        rim=shape.rim,
    )
