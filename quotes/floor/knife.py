"""The knife a caller means: the usual one of its family, at a length, with a handle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from billets.physics.knife_spec import KnifeSpec, default_spec
from billets.units import System, to_si, unit_of
from shop.usual import SIZES, usual_texts

AS_USUAL = ""
"""The class of handle of whoever says nothing of it."""

BOLSTER = 0.035
"""A bolster nobody has described; common practice, no source [kg]."""

FERRULE = "horn"
"""What closes the front of a bored handle where nothing was said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HandleClass:
    """A kind of handle a caller can name.

    Attributes
    ----------
    label, spoken : str
        As a list offers it, and as a sentence says it.
    shape : str
        Shape of a knife's handle.
    bolster : bool
        Whether a bolster closes its front.
    """

    label: str | Promise
    spoken: str | Promise
    shape: str
    bolster: bool = False


HANDLE_CLASSES: Mapping[str, HandleClass] = MappingProxyType(
    {
        "octagon": HandleClass(
            label=_("octagon"), spoken=_("an octagon handle"), shape="octagon"
        ),
        "octagon_bolster": HandleClass(
            label=_("octagon with a bolster"),
            spoken=_("an octagon handle and a bolster"),
            shape="octagon",
            bolster=True,
        ),
        "d": HandleClass(label=_("D shape"), spoken=_("a D handle"), shape="d"),
        "d_bolster": HandleClass(
            label=_("D shape with a bolster"),
            spoken=_("a D handle and a bolster"),
            shape="d",
            bolster=True,
        ),
        "scales": HandleClass(
            label=_("two scales"), spoken=_("two scales"), shape="scales"
        ),
        "scales_bolster": HandleClass(
            label=_("two scales with a bolster"),
            spoken=_("two scales and a bolster"),
            shape="scales",
            bolster=True,
        ),
    }
)
"""Handles a price can be asked for; the hours and prices of each are rates."""


def usual_knife(
    key: str, length: float | None, handle: str, system: System
) -> KnifeSpec:
    """Return the usual knife of a family with a class of handle.

    Sizes are round ones, as a smith would say them and as a form would hold them.
    """
    spec = default_spec(key, length)
    texts = usual_texts(key, length, system)
    sizes: dict[str, Any] = {
        name: to_si(texts[name], kind, unit_of(kind, system))
        for name, kind in SIZES.items()
        if name in texts
    }
    spec = replace(spec, **{**sizes, "length": spec.length})
    return spec if handle == AS_USUAL else _with_handle(spec, HANDLE_CLASSES[handle])


def _with_handle(spec: KnifeSpec, chosen: HandleClass) -> KnifeSpec:
    """Return a knife with a handle; a bolster takes the place of the ferrule."""
    tang = "full" if chosen.shape == "scales" else "hidden"
    return replace(
        spec,
        tang=tang,
        handle=chosen.shape,
        ferrule=None if tang == "full" or chosen.bolster else FERRULE,
        bolster_mass=BOLSTER if chosen.bolster else 0.0,
    )


def class_of(spec: KnifeSpec) -> str:
    """Return the class of a knife's handle."""
    return next(
        key
        for key, one in HANDLE_CLASSES.items()
        if one.shape == spec.handle and one.bolster == (spec.bolster_mass > 0)
    )
