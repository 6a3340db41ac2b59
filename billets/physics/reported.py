"""The loss model beside what makers tell: a plausibility test, not a validation."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from billets.physics.bar import Layer, Stack, Steel
from billets.physics.equipment import TOOLS, Forge
from billets.physics.factors import Factors
from billets.physics.losses import ground_share
from billets.physics.plan import PlanInput, run_plan
from billets.physics.steps import Cut, Draw, Grind, Step, Trim, Weld

MILLIMETRE = 1e-3
"""The table gives millimetres [m]."""

USUAL_TRIMS = (10.0, 5.0)
"""Off each end after the first weld, and later; common practice, no source [mm]."""

USUAL_FACE, USUAL_EDGE = 0.5, 0.2
"""Ground off each face and each edge; common practice, no source [mm]."""

STEELS = (Steel("one", "one steel", 0.80), Steel("other", "another steel", 0.75))
"""Which steels were used is not told; for the loss it hardly matters."""

_DATA = Path(__file__).parent.parent / "data" / "reported_losses.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportedRun:
    """What the model says of one way a told billet may have been made.

    Attributes
    ----------
    label : str
        How it was made.
    welds : int
        Welds assumed; 0 where nothing was welded [1].
    low, high : float
        Share kept by the model, over all stacks assumed [1].
    miss_low, miss_high : float
        The model less what was told: least and most, 0 where they meet [1].
    """

    label: str
    welds: int
    low: float
    high: float
    miss_low: float
    miss_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportedCase:
    """What a maker tells of a billet, and the model beside it.

    Attributes
    ----------
    key, told, mark : str
        Its name, what was told, and what that is worth.
    low, high : float
        Share kept, as told [1].
    at_most : bool
        Whether less than that was kept.
    runs : tuple of ReportedRun
        Each way it may have been made.
    """

    key: str
    told: str
    mark: str
    low: float
    high: float
    at_most: bool
    runs: tuple[ReportedRun, ...]


def check_reported() -> tuple[ReportedCase, ...]:
    """Run every told case that the model can run.

    Returns
    -------
    tuple of ReportedCase
        One row a case, in the order of the table.

    Notes
    -----
    Common practice and makers' reports, no source: sizes, heats and often the number
    of welds are assumed, and none of the billets was weighed step by step.
    """
    rows = tomllib.loads(_DATA.read_text(encoding="utf-8"))["case"]
    return tuple(_case(row) for row in rows)


def _case(row: Mapping[str, Any]) -> ReportedCase:
    low, high = row["retained"]
    return ReportedCase(
        key=row["key"],
        told=row["told"],
        mark=row["mark"],
        low=low,
        high=high,
        at_most=row.get("at_most", False),
        runs=tuple(run for told in row["run"] for run in _runs(told, row)),
    )


def _runs(told: Mapping[str, Any], row: Mapping[str, Any]) -> Iterator[ReportedRun]:
    """Yield a run for each number of welds; one for a bar that was only ground."""
    if "ground" in told:
        yield _run(told, row, 0, [_ground(section) for section in told["ground"]])
        return
    for welds in told["welds"]:
        kept = [_kept(told, stack, welds) for stack in told["stacks"]]
        yield _run(told, row, welds, kept)


def _run(
    told: Mapping[str, Any], row: Mapping[str, Any], welds: int, kept: Sequence[float]
) -> ReportedRun:
    low, high = min(kept), max(kept)
    least, most = row["retained"]
    misses = [_miss(one, least, most) for one in (low, high)]
    if low <= most and high >= least:
        misses = [0.0, 0.0]
    if row.get("at_most"):
        misses = [max(0.0, one) for one in misses]
    return ReportedRun(
        label=told["label"],
        welds=welds,
        low=low,
        high=high,
        miss_low=misses[0],
        miss_high=misses[1],
    )


def _miss(kept: float, least: float, most: float) -> float:
    """Return how far a share lies outside what was told, with its sign [1]."""
    return max(0.0, kept - most) - max(0.0, least - kept)


def _ground(section: Sequence[float]) -> float:
    """Return the share [1] that grinding leaves of a section [mm]."""
    width, thickness = section
    return 1.0 - float(ground_share(width, thickness, USUAL_FACE, USUAL_EDGE))


def _kept(told: Mapping[str, Any], stack: Mapping[str, Any], welds: int) -> float:
    """Return the share of a stack [1] that is left as a clean bar."""
    plan = PlanInput(
        stack=_stack(stack["size"], told["layers"]),
        steps=tuple(_steps(told, stack["sections"], welds)),
        forge=Forge(atmosphere=told.get("atmosphere", "rich")),
        tool=TOOLS[told.get("tool", "press")],
        factors=Factors(scale_strength=told.get("scale", Factors().scale_strength)),
    )
    return float(run_plan(plan).retained)


def _stack(size: Sequence[float], layers: int) -> Stack:
    length, width, height = (side * MILLIMETRE for side in size)
    pieces = (Layer(STEELS[place % 2], height / layers) for place in range(layers))
    return Stack(tuple(pieces), length, width)


def _steps(
    told: Mapping[str, Any], sections: Sequence[Sequence[float]], welds: int
) -> Iterator[Step]:
    """Yield the steps of every weld cycle; the last has no cut."""
    for cycle in range(welds):
        width, thickness = sections[min(cycle, len(sections) - 1)]
        trims = told.get("trims", USUAL_TRIMS)
        yield Weld()
        yield Draw(width=width * MILLIMETRE, thickness=thickness * MILLIMETRE)
        yield Trim(per_end=trims[min(cycle, 1)] * MILLIMETRE)
        yield Grind(
            face=told.get("face", USUAL_FACE) * MILLIMETRE,
            edge=USUAL_EDGE * MILLIMETRE,
        )
        if cycle < welds - 1:
            yield Cut(pieces=told["cuts"][min(cycle, len(told["cuts"]) - 1)])
