"""Whether steels belong together in one billet: twelve checks, each a sentence.

They are run after the heats of a plan are known: what counts is the carbon the layers
have then, and the alloying they keep.
"""

from __future__ import annotations

from collections.abc import Callable

from billets.physics import checks_heat, checks_layers, checks_pattern, checks_quench
from billets.physics.checks import THRESHOLDS, Check, Thresholds
from billets.physics.together import Together

__all__ = ["CHECKS", "THRESHOLDS", "Check", "Thresholds", "check_steels"]

CHECKS: tuple[Callable[[Together], Check], ...] = (
    checks_heat.hardening_window,
    checks_heat.hardening_heat,
    checks_quench.martensite,
    checks_quench.quench,
    checks_quench.depth,
    checks_quench.carbon,
    checks_layers.soft_layers,
    checks_layers.expansion,
    checks_heat.welding_heat,
    checks_layers.purity,
    checks_pattern.contrast,
    checks_pattern.pattern_life,
)
"""Every check, in the order they are shown."""


def check_steels(at: Together) -> tuple[Check, ...]:
    """Return all twelve checks of the steels of a billet.

    Parameters
    ----------
    at : Together
        Two steels, three or more, with what the heats did to them.

    Returns
    -------
    tuple of Check
        One for each of `CHECKS`. Heat, depth, carbon and weld are judged for all steels
        together; expansion and contrast for those that touch; the spread in the quench
        for all together, which no touching pair exceeds.
    """
    return tuple(check(at) for check in CHECKS)
