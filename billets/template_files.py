"""Plans to price knives by, read from the file in ``data`` and made rows of the shop.

The file speaks millimetres and degrees Celsius with their units; what comes out here
is SI, with the text kept beside it as if a smith had typed it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import Model

from billets.choices import pattern_class
from billets.fields import SIField
from billets.loading import DATA
from billets.models import BarSize, Equipment, Plan, PlanStep
from billets.services import save_plan
from billets.units import to_si

TEMPLATES = DATA / "templates.toml"

SAME = 1e-6
"""So near two bars are of one size [m]."""

KINDS = {"forge": ("forge",), "tool": ("press", "hammer", "hand"), "saw": ("saw",)}
"""What a plan is made on, and the kinds of equipment that can be it."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What a run of the loader did.

    Attributes
    ----------
    made, kept : tuple of str
        Classes of pattern that got a plan, and that had one already.
    missing : mapping of str to tuple of str
        Bars and equipment a plan needs and the shop has not, by class.
    """

    made: tuple[str, ...]
    kept: tuple[str, ...]
    missing: Mapping[str, tuple[str, ...]]


def read_templates(path: Path = TEMPLATES) -> dict[str, Row]:
    """Return the plans of the file, by class of pattern."""
    return tomllib.loads(path.read_text("utf-8"))


@transaction.atomic
def load_templates(templates: Mapping[str, Row] | None = None) -> Loaded:
    """Give every class of pattern that has no plan the one of the file.

    Plans that are there stay as the shop has them. Where a bar or a tool is missing
    no plan is made, and the answer names it.
    """
    written = read_templates() if templates is None else templates
    have = set(Plan.objects.exclude(template="").values_list("template", flat=True))
    classes = [key for key, _label in pattern_class() if key in written]
    made, missing = [], {}
    for key in classes:
        if key in have:
            continue
        lacks = _make(key, written[key])
        if lacks:
            missing[key] = lacks
        else:
            made.append(key)
    kept = tuple(key for key in classes if key in have)
    return Loaded(made=tuple(made), kept=kept, missing=missing)


def _make(key: str, row: Row) -> tuple[str, ...]:
    """Save the plan of a class; return what it would need and the shop has not."""
    tools = {name: _first(kinds) for name, kinds in KINDS.items()}
    bars = {letter: _bar(one) for letter, one in row["bars"].items()}
    cores = [_bar(step["core"]) for step in row["steps"] if "core" in step]
    wanted = [*row["bars"].values(), *_cores(row["steps"])]
    lacks = [
        *(name for name, tool in tools.items() if tool is None),
        *(
            _named(one)
            for one, bar in zip(wanted, [*bars.values(), *cores], strict=True)
            if bar is None
        ),
    ]
    if lacks:
        return tuple(dict.fromkeys(lacks))
    own = {name: value for name, value in row.items() if name not in ("bars", "steps")}
    plan = Plan(**_measured(Plan, own), **tools, template=key, typed=_typed(Plan, own))
    steps = [_step(one) for one in row["steps"]]
    save_plan(plan, {letter: bar for letter, bar in bars.items() if bar}, steps)
    return ()


def _first(kinds: Iterable[str]) -> Equipment | None:
    return Equipment.objects.filter(kind__in=tuple(kinds), in_use=True).first()


def _cores(steps: Iterable[Row]) -> list[Row]:
    return [step["core"] for step in steps if "core" in step]


def _bar(row: Row) -> BarSize | None:
    """Return the bar of a steel that has a section, if the shop has one on offer."""
    thick, wide = to_si(row["thickness"], "thickness"), to_si(row["width"], "length")
    return BarSize.objects.filter(
        steel__key=row["steel"],
        on_offer=True,
        thickness__range=(thick - SAME, thick + SAME),
        width__range=(wide - SAME, wide + SAME),
    ).first()


def _named(row: Row) -> str:
    return f"{row['steel']} {row['width']} × {row['thickness']}"


def _step(row: Row) -> dict[str, Any]:
    values = _measured(PlanStep, row) | {"typed": _typed(PlanStep, row)}
    if "core" in row:
        values["core"] = _bar(row["core"])
    return values


def _quantities(model: type[Model]) -> dict[str, str]:
    """Return the kinds of a row's quantities, by name."""
    return {
        field.name: field.kind
        for field in model._meta.get_fields()
        if isinstance(field, SIField)
    }


def _measured(model: type[Model], row: Row) -> dict[str, Any]:
    kinds = _quantities(model)
    return {
        name: to_si(value, kinds[name]) if name in kinds else value
        for name, value in row.items()
    }


def _typed(model: type[Model], row: Row) -> dict[str, str]:
    kinds = _quantities(model)
    return {name: value for name, value in row.items() if name in kinds}
