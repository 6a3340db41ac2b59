"""All that is known of the steels of a plan: one entry for pages and papers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from billets.physics.checks import Check
from billets.physics.compatibility import check_steels
from billets.physics.errors import Flag, PlanError, _
from billets.physics.knife import weigh_knife
from billets.physics.levelling import Levelling, level_plan
from billets.physics.plan import PlanInput, PlanResult
from billets.physics.quenching import Bath
from billets.physics.together import Together, together
from billets.physics.treatment import HeatTreatment, heat_treatment
from billets.physics.verdict import Target

USUAL_HARDNESS = 60.0
"""Aimed at where no knife is known, common practice, no source [HRC]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelsReport:
    """The steels of a billet.

    Attributes
    ----------
    together : Together
        Which steels, and how they lie.
    levelling : Levelling
        Carbon and alloying after all heats.
    checks : tuple of Check
        Whether they belong together, twelve sentences.
    treatment : HeatTreatment or None
        How the blade is treated; None where the figures of a sheet allow none, which a
        flag says.
    flags : tuple of Flag
        What to look at twice: the stack, and the treatment.
    """

    together: Together
    levelling: Levelling
    checks: tuple[Check, ...]
    treatment: HeatTreatment | None
    flags: tuple[Flag, ...]


def steels_report(
    plan: PlanInput,
    result: PlanResult,
    targets: Sequence[Target] = (),
    bath: Bath | None = None,
) -> SteelsReport:
    """Return what becomes of the steels of a plan.

    Parameters
    ----------
    plan : PlanInput
        The plan.
    result : PlanResult
        What it gives; of draws the median counts [SI units].
    targets : sequence of Target
        The knives: the thinnest spine rules the levelling, the thickest the depth of
        hardening, the hardest the temper [m, HRC].
    bath : Bath, optional
        What the shop quenches in.

    Returns
    -------
    SteelsReport
        Levelling, checks, treatment and flags.
    """
    spines = [one.spine for one in targets if one.spine > 0.0]
    levelling = level_plan(plan, result, spine=min(spines, default=None))
    quenched = bath or Bath()
    at = replace(
        together(plan, result, levelling),
        spine=max(spines, default=None),
        behind_edge=max((one.behind_edge for one in targets), default=0.0),
        severity=quenched.severity,
        bath=quenched.name if quenched.severity is not None else "",
    )
    hardness = max((one.hardness for one in targets), default=USUAL_HARDNESS)
    treatment, refused = _treated(at, hardness, quenched, _heaviest(targets))
    return SteelsReport(
        together=at,
        levelling=levelling,
        checks=check_steels(at),
        treatment=treatment,
        flags=(*_bow_flags(at), *refused),
    )


OF_THE_PATTERN = frozenset({"contrast", "pattern life"})
"""Checks that speak of how the blade will look."""


def serious(report: SteelsReport) -> tuple[Flag, ...]:
    """Return what stands against the steels; what is milder stands beside the checks.

    Parameters
    ----------
    report : SteelsReport
        The steels of a billet.

    Returns
    -------
    tuple of Flag
        Red ones of the treatment, and every check that says stop.
    """
    return (
        *(flag for flag in report.flags if flag.level == "red"),
        *(
            Flag(
                message=one.message,
                field="order",
                values=one.values,
                # A pattern that does not show spoils a knife, but hurts nobody.
                level="amber" if one.name in OF_THE_PATTERN else "red",
            )
            for one in report.checks
            if one.level == "stop"
        ),
    )


def _treated(
    at: Together, hardness: float, bath: Bath, blade: float | None
) -> tuple[HeatTreatment | None, tuple[Flag, ...]]:
    """Return the treatment and its flags, or why there is none."""
    try:
        found = heat_treatment(at, hardness, bath, blade)
    except PlanError as error:
        return None, (
            Flag(message=error.message, field=error.field, values=error.values),
        )
    return found, found.flags


def _heaviest(targets: Sequence[Target]) -> float | None:
    """Return the mass of the heaviest blank; no blade in the bath has more [kg]."""
    knives = (one.knife for one in targets if one.knife is not None)
    return max((weigh_knife(knife).blank.mass for knife in knives), default=None)


def _bow_flags(at: Together) -> tuple[Flag, ...]:
    if not at.bows:
        return ()
    message = _(
        "The layers lie unlike on either side of the middle: the blade may bow in the "
        "quench. Mirror the stack about its middle, with an odd number of layers, or "
        "turn every second piece over."
    )
    return (Flag(message=message, field="order", level="note"),)
