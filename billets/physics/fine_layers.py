"""Too many layers to see: how fine they get at the spine, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence

from billets.physics.errors import Flag, _
from billets.physics.layers import layer_thickness
from billets.physics.results import PlanResult
from billets.physics.state import typical
from billets.physics.verdict import Target

MOST_SEEN = 2000
"""Layers beyond which none can be seen, common practice, no source [1]."""


def fine_layer_flags(result: PlanResult, targets: Sequence[Target]) -> tuple[Flag, ...]:
    """Return what to say about a chain that ends with too many layers.

    Parameters
    ----------
    result : PlanResult
        The billet, float or array (draws,) [m].
    targets : sequence of Target
        Its knives, whose thinnest spine counts; without one the bar does [m].

    Returns
    -------
    tuple of Flag
        A sentence if there are more than 2,000.
    """
    if result.layers <= MOST_SEEN:
        return ()
    spines = [one.spine for one in targets if one.spine > 0.0]
    thickness = min(spines, default=typical(result.clean_thickness))
    said = {
        "count": result.distinct,
        "most": MOST_SEEN,
        "layer": layer_thickness(thickness, result.distinct),
        "thickness": thickness,
    }
    if spines:
        message = _(
            "{count} layers are {layer} each at a spine of {thickness}: no "
            "eye tells them apart, and carbon evens out between them. Stay below "
            "{most}: leave out a restack, or cut in fewer pieces."
        )
    else:
        message = _(
            "{count} layers are {layer} each in a bar of {thickness}: no eye "
            "tells them apart, and carbon evens out between them. Stay below {most}: "
            "leave out a restack, or cut in fewer pieces."
        )
    return (Flag(message=message, field="layers", values=said),)
