"""Steps of a plan: from columns of rows to the words of the physics."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import MISSING, fields
from typing import Any

from billets.models import BarSize, PlanStep
from billets.physics import steps as words
from billets.physics.errors import PlanError, _
from billets.stock import Bar, core_bar

# Which columns of a step's row its kind uses; those left empty keep the core's default.
STEP_FIELDS: Mapping[str, tuple[type, tuple[str, ...]]] = {
    "weld": (words.Weld, ("temperature", "heats")),
    "draw": (words.Draw, ("width", "thickness", "temperature")),
    "trim": (words.Trim, ("per_end",)),
    "grind": (words.Grind, ("face", "edge")),
    "cut": (words.Cut, ("pieces", "turned")),
    "fold": (words.Fold, ()),
    "twist": (words.Twist, ("turns", "octagon", "temperature")),
    "ladder": (
        words.Ladder, ("groove_shape", "depth", "groove", "pitch", "temperature"),
    ),
    "dimple": (words.Dimple, ("drill", "point", "depth", "pitch", "temperature")),
    "core": (words.Core, ("core",)),
}  # fmt: skip
COLUMNS = tuple(
    dict.fromkeys(name for _step, names in STEP_FIELDS.values() for name in names)
)
LATER_TRIM = 0.005  # after the first weld's 10 mm; common practice, no source


def step_values(row: PlanStep) -> dict[str, Any]:
    """Return a step's row as plain values."""
    return {name: getattr(row, name) for name in ("kind", *COLUMNS)}


def core_steps(rows: Sequence[Mapping[str, Any]]) -> list[words.Step]:
    """Return the core's steps; a PlanError carries the number of its step."""
    steps: list[words.Step] = []
    for number, values in enumerate(filled_steps(rows), start=1):
        try:
            steps.append(core_step(values))
        except PlanError as error:
            raise PlanError(error.message, field=error.field, step=number) from error
    return steps


def filled_steps(rows: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return steps with what is usual where nothing was said, and nothing unused."""
    filled: list[dict[str, Any]] = []
    for row in rows:
        kind = row["kind"]
        usual = usual_values(kind, [before["kind"] for before in filled])
        kept = ("kind", *STEP_FIELDS[kind][1], "typed")
        given = {name: row[name] for name in kept if row.get(name) is not None}
        filled.append(usual | given)
    return filled


def usual_values(kind: str, before: Sequence[str]) -> dict[str, Any]:
    """Return what a kind of step holds if nothing is said, after steps of such kinds.

    Sizes to draw to and the number of pieces have no usual value.
    """
    step, names = STEP_FIELDS[kind]
    usual = {
        one.name: one.default
        for one in fields(step)
        if one.name in names and one.default is not MISSING
    }
    if kind == "trim" and kind in before:
        usual["per_end"] = LATER_TRIM
    return usual


def core_step(values: Mapping[str, Any]) -> words.Step:
    """Return the core's step for values named as the columns of a step's row."""
    kind, names = STEP_FIELDS[values["kind"]]
    if kind is words.Core:
        return _core(values.get("core"))
    given = {name: values[name] for name in names if values.get(name) is not None}
    missing = [name for name in required(values["kind"]) if name not in given]
    if missing:
        raise PlanError(_("This step needs its {field}."), field=missing[0])
    return kind(**given)  # type: ignore[no-any-return]


def _core(bar: Bar | BarSize | None) -> words.Core:
    """Return the step that lays in a core cut from a bar."""
    if bar is None:
        raise PlanError(_("This step needs its {field}."), field="core")
    laid = core_bar(bar) if isinstance(bar, BarSize) else bar
    return words.Core(steel=laid.steel, thickness=laid.thickness, width=laid.width)


def required(kind: str) -> tuple[str, ...]:
    """Return what a kind of step cannot do without."""
    step, names = STEP_FIELDS[kind]
    if step is words.Core:
        return names  # a bar, which tells the steel and the thickness
    return tuple(
        one.name for one in fields(step) if one.name in names and one.default is MISSING
    )
