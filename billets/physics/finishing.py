"""From the bar to the finished steel of its knives: what forge and grinder take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from billets.physics.blank import ALLOWANCES
from billets.physics.knife import MASS_BAND, KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec
from billets.physics.verdict import Target, mass_needed


@dataclass(frozen=True, slots=True, kw_only=True)
class Finishing:
    """The steel of all knives of a bar, from the bar on.

    Attributes
    ----------
    needed : float
        What the bar must hold for them [kg].
    blank, blank_low, blank_high : float
        Their forged blanks; from a tight allowance to a generous one [kg].
    steel, steel_low, steel_high : float
        Their finished blades with neck and tang, and the band of a weighed knife [kg].
    """

    needed: float
    blank: float
    blank_low: float
    blank_high: float
    steel: float
    steel_low: float
    steel_high: float


def finishing(targets: Sequence[Target], *, clean: bool) -> Finishing | None:
    """Return what becomes of a bar's steel in its knives.

    Parameters
    ----------
    targets : sequence of Target
        The knives.
    clean : bool
        Whether the bar was ground clean, so that blanks need less.

    Returns
    -------
    Finishing or None
        Masses, summed over all knives [kg]; None where one of them is not known.
    """
    specs = [one.knife for one in targets if one.knife is not None]
    if not targets or len(specs) < len(targets):
        return None
    weighed = [_every_allowance(spec) for spec in specs]
    blanks = [
        sum(_blank(one[key], clean=clean) for one in weighed) for key in ALLOWANCES
    ]
    own = [one[spec.allowance] for one, spec in zip(weighed, specs, strict=True)]
    steel = sum(one.steel_mass for one in own)
    return Finishing(
        needed=mass_needed(targets),
        blank=sum(_blank(one, clean=clean) for one in own),
        blank_low=min(blanks),
        blank_high=max(blanks),
        steel=steel,
        steel_low=(1.0 - MASS_BAND) * steel,
        steel_high=(1.0 + MASS_BAND) * steel,
    )


def _every_allowance(spec: KnifeSpec) -> dict[str, KnifeResult]:
    return {key: weigh_knife(replace(spec, allowance=key)) for key in ALLOWANCES}


def _blank(result: KnifeResult, *, clean: bool) -> float:
    return result.blank.clean_mass if clean else result.blank.mass
