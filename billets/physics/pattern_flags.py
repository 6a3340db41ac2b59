"""What to look at twice where a figure is made."""

from __future__ import annotations

from billets.physics import Number
from billets.physics.errors import Flag, _
from billets.physics.patterns import DEEPEST, too_deep
from billets.physics.state import Mask, mostly, typical
from billets.physics.twisting import AMBER_SHEAR, RED_SHEAR

UNEVEN = 1.10
"""Longer side over shorter from which a twist is uneven, common practice [1]."""

USUAL_CORE = (0.25, 0.40)
"""Share of the thickness a core usually has, common practice, no source [1]."""


def twist_flags(
    longer: Number, shorter: Number, shear: Number, *, octagon: bool
) -> tuple[Flag, ...]:
    """Return what to say about a bar to be twisted.

    Parameters
    ----------
    longer, shorter : float or array (draws,)
        Sides of its section [m].
    shear : float or array (draws,)
        Of its outermost fibre [1].
    octagon : bool
        Whether its corners are ground off first.

    Returns
    -------
    tuple of Flag
        Sentences about its section, and about seams that may open.
    """
    flags: tuple[Flag, ...] = ()
    if mostly(longer > UNEVEN * shorter):
        uneven = _(
            "Step {step}: sides of {longer_side} and {shorter_side} twist unevenly; "
            "draw the bar square before."
        )
        said = {"longer_side": typical(longer), "shorter_side": typical(shorter)}
        flags = (Flag(message=uneven, field="kind", values=said),)
    return (*flags, *_shear_flags(shear, octagon=octagon))


def _shear_flags(shear: Number, *, octagon: bool) -> tuple[Flag, ...]:
    said = {"shear": typical(shear), "most_shear": AMBER_SHEAR}
    if mostly(shear > RED_SHEAR):
        opens = _(
            "Step {step}: a shear of {shear} at the corner opens seams; {most_shear} "
            "is the usual most. Twist less, or a longer or thinner bar."
        )
        return (Flag(message=opens, field="turns", level="red", values=said),)
    if not mostly(shear > AMBER_SHEAR):
        return ()
    if octagon:
        may_open = _(
            "Step {step}: a shear of {shear} at the corner may open seams; "
            "{most_shear} is the usual most. Start from a bar with no open edge, twist "
            "less, or a longer bar."
        )
    else:
        may_open = _(
            "Step {step}: a shear of {shear} at the corner may open seams; "
            "{most_shear} is the usual most. Grind the corners to an octagon first, "
            "twist less, or a longer bar."
        )
    return (Flag(message=may_open, field="turns", values=said),)


def depth_flags(depth: Number, thickness: Number) -> tuple[Flag, ...]:
    """Return what to say about the depth of cuts or dimples.

    Parameters
    ----------
    depth, thickness : float or array (draws,)
        Depth from each face, and thickness of the bar [m].

    Returns
    -------
    tuple of Flag
        A sentence if they are deeper than four tenths of the thickness.
    """
    deep: Mask = too_deep(depth, thickness)
    if not mostly(deep):
        return ()
    message = _(
        "Step {step}: {depth} is deep for a bar {thickness} thick; up to {most_depth} "
        "from each face the layers between stay whole."
    )
    said = {
        "depth": typical(depth),
        "thickness": typical(thickness),
        "most_depth": DEEPEST * typical(thickness),
    }
    return (Flag(message=message, field="depth", values=said),)


def core_flags(share: Number) -> tuple[Flag, ...]:
    """Return what to say about the thickness of a core.

    Parameters
    ----------
    share : float or array (draws,)
        Of the whole thickness, as it is laid in [1].

    Returns
    -------
    tuple of Flag
        A note if it is unusual.
    """
    low, high = USUAL_CORE
    if low - 1e-9 <= typical(share) <= high + 1e-9:
        return ()
    message = _(
        "Step {step}: the core is {core_share} of the thickness; {low_share} to "
        "{high_share} is usual. A thicker core, or thinner halves, make it more."
    )
    said = {"core_share": typical(share), "low_share": low, "high_share": high}
    return (Flag(message=message, field="core", level="note", values=said),)
