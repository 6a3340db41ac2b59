"""The words a row may hold; callables, so that a new word makes no migration."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Choices = list[tuple[str, str | Promise]]


def etch() -> Choices:
    """How a layer looks after etching."""
    return [("dark", _("dark")), ("grey", _("grey")), ("bright", _("bright"))]


def quench() -> Choices:
    """Quench classes from fast to slow; ``none`` does not harden."""
    return [
        ("water", _("water")), ("fast_oil", _("fast oil")), ("oil", _("oil")),
        ("air", _("air")), ("none", _("does not harden")),
    ]  # fmt: skip


def equipment() -> Choices:
    """Kinds of equipment."""
    return [
        ("forge", _("forge")), ("press", _("press")), ("hammer", _("power hammer")),
        ("hand", _("hand hammer")), ("saw", _("saw")), ("bath", _("quench bath")),
    ]  # fmt: skip


def atmosphere() -> Choices:
    """Flames, from the one that scales most."""
    return [
        ("oxidising", _("oxidising")), ("neutral", _("neutral")),
        ("rich", _("slightly rich")), ("can", _("sealed can with a weep hole")),
    ]  # fmt: skip


def step() -> Choices:
    """Kinds of step from stack to bar."""
    return [
        ("weld", _("weld")), ("draw", _("draw out")), ("trim", _("trim the ends")),
        ("grind", _("grind clean")), ("cut", _("cut and restack")), ("fold", _("fold")),
        ("twist", _("twist")), ("ladder", _("cut a ladder")),
        ("dimple", _("drill dimples")), ("core", _("lay in a core")),
    ]  # fmt: skip


def pattern_class() -> Choices:
    """Classes of pattern a caller can be told a price for."""
    return [
        ("layers", _("plain layers")), ("twist", _("twist")), ("ladder", _("ladder")),
        ("dimples", _("dimples")), ("core", _("layers over a core")),
    ]  # fmt: skip


def groove() -> Choices:
    """Shapes of a groove cut across the bar."""
    return [
        ("vee", _("V-shaped")), ("round", _("round-bottomed")), ("square", _("square")),
    ]  # fmt: skip


def factor() -> Choices:
    """Factors a shop can teach the model."""
    return [
        ("scale_strength", _("strength of scale")),
        ("grind", _("grind depth against plan")),
        ("edge_grind", _("edge grind against plan")),
        ("trim", _("end trim against plan")),
        ("strain", _("strain a heat against plan")),
        ("weld_time", _("time at welding heat against plan")),
        ("heating_time", _("heating time against the model")),
        ("gas", _("gas against the model")),
        ("hours", _("attended hours at the forge against the model")),
    ]  # fmt: skip
