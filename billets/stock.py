"""Steels and bars of the shop as the physics sees them."""

from __future__ import annotations

from dataclasses import dataclass

from billets.models import BarSize
from billets.models import Steel as SteelRow
from billets.physics.bar import Steel
from billets.physics.grades import Grade, TemperPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar to lay a stack or a core from: steel, section and length [m]."""

    steel: Steel
    thickness: float
    width: float
    length: float


def core_steel(row: SteelRow) -> Steel:
    """Return a steel as the billet's physics sees it."""
    return Steel(row.key, row.name, row.carbon, row.density, row.etch, grade_of(row))


def grade_of(row: SteelRow) -> Grade:
    """Return what is known of a steel; its temper table has the shop's own first."""
    return Grade(
        key=row.key, name=row.name, carbon=row.carbon, manganese=row.manganese,
        silicon=row.silicon, chromium=row.chromium, nickel=row.nickel,
        molybdenum=row.molybdenum, vanadium=row.vanadium, tungsten=row.tungsten,
        sulphur=row.sulphur, phosphorus=row.phosphorus, copper=row.copper,
        harden_low=row.harden_min, harden_high=row.harden_max,
        quench=row.quench_class, quench_medium=row.quench_medium,
        soak_low=row.soak_min, soak_high=row.soak_max,
        martensite_start=row.martensite_start, normalise_at=row.normalise_at,
        anneal=row.anneal, forge_max=row.forge_max,
        expansion=None if row.expansion is None else row.expansion * 1e-6,
        etch=row.etch,
        tempers=tuple(
            TemperPoint(
                temperature=one.temperature, seconds=one.duration,
                hardness=one.hardness, source=one.source, own=one.own,
            )
            for one in sorted(row.tempers.all(), key=lambda one: not one.own)
        ),
    )  # fmt: skip


def core_bar(row: BarSize) -> Bar:
    """Return a bar as a plan sees it."""
    return Bar(
        steel=core_steel(row.steel),
        thickness=row.thickness,
        width=row.width,
        length=row.length,
    )
