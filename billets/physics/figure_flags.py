"""What to look at twice in the figure a billet shows on its knives."""

from __future__ import annotations

from collections.abc import Sequence

from billets.physics.core_line import core_line_flags
from billets.physics.errors import Flag
from billets.physics.fine_layers import fine_layer_flags
from billets.physics.results import PlanResult
from billets.physics.verdict import Target


def pattern_flags_of(result: PlanResult, targets: Sequence[Target]) -> tuple[Flag, ...]:
    """Return what to say of layers too fine to see and of cores too thin to grind.

    Parameters
    ----------
    result : PlanResult
        The billet, float or array (draws,) [m].
    targets : sequence of Target
        Its knives [m].

    Returns
    -------
    tuple of Flag
        Sentences about the whole chain, then about each knife.
    """
    return (*fine_layer_flags(result, targets), *core_line_flags(result, targets))
