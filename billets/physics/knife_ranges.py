"""Sizes against what is usual for a family: flagged outside, refused far outside."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from billets.physics.errors import Flag, PlanError, _
from billets.physics.families import Family, Range, family
from billets.physics.knife_spec import KnifeSpec

NECKS = Range(0.008, 0.012, 0.016)
"""Usual necks; common practice and makers' reports [m]."""

_UNUSUAL = MappingProxyType(
    {
        "length": _(
            "A blade of {value} is outside what is usual for this kind of knife, "
            "{low} to {high}; its weight is less certain."
        ),
        "height": _(
            "A height of {value} is outside what is usual for this kind of knife, "
            "{low} to {high}; its weight is less certain."
        ),
        "heel_thickness": _(
            "A spine of {value} above the heel is outside what is usual for this kind "
            "of knife, {low} to {high}."
        ),
        "middle_thickness": _(
            "A spine of {value} at the middle is outside what is usual for this kind "
            "of knife, {low} to {high}."
        ),
        "tip_thickness": _(
            "A spine of {value} before the tip is outside what is usual for this kind "
            "of knife, {low} to {high}."
        ),
        "behind_edge": _(
            "{value} behind the edge is outside what is usual for this kind of knife, "
            "{low} to {high}."
        ),
        "edge_angle": _(
            "An edge angle of {value} a side is outside what is usual for this kind "
            "of knife, {low} to {high}."
        ),
        "handle_length": _(
            "A handle of {value} is outside what is usual for this kind of knife, "
            "{low} to {high}."
        ),
        "neck_length": _(
            "A neck of {value} is outside what is usual, {low} to {high}."
        ),
    }
)
_BEYOND = MappingProxyType(
    {
        "length": _(
            "A blade of {value} cannot be reckoned for this kind of knife; keep its "
            "length between {low} and {high}, or choose another kind."
        ),
        "height": _(
            "A height of {value} cannot be reckoned for this kind of knife; keep "
            "it between {low} and {high}, or choose another kind."
        ),
        "heel_thickness": _(
            "A spine of {value} above the heel cannot be reckoned for this kind of "
            "knife; keep it between {low} and {high}."
        ),
        "middle_thickness": _(
            "A spine of {value} at the middle cannot be reckoned for this kind of "
            "knife; keep it between {low} and {high}."
        ),
        "tip_thickness": _(
            "A spine of {value} before the tip cannot be reckoned for this kind of "
            "knife; keep it between {low} and {high}."
        ),
        "behind_edge": _(
            "{value} behind the edge cannot be reckoned for this kind of knife; keep "
            "it between {low} and {high}."
        ),
        "edge_angle": _(
            "An edge angle of {value} a side cannot be reckoned for this kind of "
            "knife; keep it between {low} and {high}."
        ),
        "handle_length": _(
            "A handle of {value} cannot be reckoned for this kind of knife; keep "
            "it between {low} and {high}."
        ),
        "neck_length": _(
            "A neck of {value} cannot be reckoned; keep it between {low} and {high}."
        ),
    }
)


def check_sizes(spec: KnifeSpec) -> None:
    """Refuse a size beyond half the least or twice the greatest usual one.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    """
    for name, usual in _usual(family(spec.family)):
        reach = Range(usual.low / 2.0, usual.typical, usual.high * 2.0)
        value = getattr(spec, name)
        if not reach.holds(value):
            raise PlanError(
                _BEYOND[name], field=name, value=value, low=reach.low, high=reach.high
            )


def size_flags(spec: KnifeSpec) -> tuple[Flag, ...]:
    """Return an amber flag for each size outside what is usual.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.

    Returns
    -------
    tuple of Flag
        Their values are the size and the usual range.
    """
    flags = []
    for name, usual in _usual(family(spec.family)):
        value = getattr(spec, name)
        if not usual.holds(value):
            said = {"value": value, "low": usual.low, "high": usual.high}
            values = MappingProxyType(said)
            flags.append(Flag(message=_UNUSUAL[name], field=name, values=values))
    return tuple(flags)


def _usual(kind: Family) -> Iterator[tuple[str, Range]]:
    """Yield each size that has a usual range."""
    for name in _UNUSUAL:
        yield name, NECKS if name == "neck_length" else getattr(kind, name)
