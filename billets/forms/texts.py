"""What stands in the boxes of a billet's form, as text: filled in, moved, begun."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from billets.box_texts import size_text
from billets.fields import SIField
from billets.forms.boxes import Offers
from billets.forms.plan import BAR_BOXES
from billets.forms.steps import BOXES, MOST_STEPS, TICKS, StepForms, prefix
from billets.grammar import write_number
from billets.messages import spoken
from billets.models import BarSize, PlanStep
from billets.plan_steps import STEP_FIELDS, usual_values
from billets.text import sent_number
from billets.units import System, decimal_mark

Row = dict[str, str]
"""One step: text by box."""

NAMES = ("kind", *BOXES, "was")

START_ORDER = "8(AB)A"
START_LENGTH = 0.12
START_WIDTH = 0.04
DARK, BRIGHT = 0.0025, 0.0015
"""Thicknesses a first stack is laid of, or the next to them on offer [m]."""

CARBON = 0.8
"""Carbon of a dark steel that welds easily; common practice, no source [%]."""

SEED_DIGITS = 8
PIECES = "3"
"""Pieces a bar is cut into unless another number is typed."""


def value_text(name: str, value: Any, system: System) -> str:
    """Return the text for a box of a step."""
    field = PlanStep._meta.get_field(name)
    if isinstance(field, SIField):
        return size_text(value, field.kind, system)
    if isinstance(value, bool):
        return "on" if value else ""
    if isinstance(value, float):
        return write_number(Decimal(f"{value:g}"), decimal_mark(spoken()))
    return str(value.pk if isinstance(value, BarSize) else value)


def texts_of(form: forms.BaseForm, steps: StepForms) -> QueryDict:
    """Return what a form nobody has touched would send."""
    data = QueryDict(mutable=True)
    for one in (form, *steps.forms):
        for box in one:
            value = box.value()
            if value not in (None, "", False):
                data[box.html_name] = "on" if value is True else str(value)
    data["steps"] = str(len(steps.forms))
    return data


def pressed(data: QueryDict, system: System) -> QueryDict:
    """Return what was sent after the button that was pressed, empty boxes filled."""
    new = with_rows(data, filled(rearranged(rows_of(data), data), system))
    if "new_seed" in data:
        new["seed"] = str(secrets.randbelow(10**SEED_DIGITS))
    if "fit" in data and not data.get("length", "").strip():
        new["length"] = size_text(START_LENGTH, "length", system)
    return new


# --- rows --------------------------------------------------------------------------


def rows_of(data: Mapping[str, Any]) -> list[Row]:
    """Return the steps as they were sent."""
    count = sent_number(data.get("steps")) or 0
    return [
        {name: data.get(f"{prefix(place)}-{name}", "") for name in NAMES}
        for place in range(min(count, MOST_STEPS))
    ]


def with_rows(data: QueryDict, rows: Sequence[Row]) -> QueryDict:
    """Return what was sent with other steps in it."""
    new = data.copy()
    for name in [one for one in new if one.startswith("step-")]:
        del new[name]
    for place, row in enumerate(rows):
        for name, text in row.items():
            if text or name not in TICKS:
                new[f"{prefix(place)}-{name}"] = text
    new["steps"] = str(len(rows))
    return new


def filled(rows: Sequence[Row], system: System) -> list[Row]:
    """Return steps with what is usual in boxes that count and are empty."""
    full: list[Row] = []
    for row in rows:
        kind = row.get("kind", "")
        before = [one["kind"] for one in full]
        usual = usual_values(kind, before) if kind in STEP_FIELDS else {}
        texts = {name: value_text(name, one, system) for name, one in usual.items()}
        empty = {
            name: text
            for name, text in texts.items()
            if name not in TICKS and not row.get(name, "").strip()
        }
        full.append(row | empty)
    return full


def rearranged(rows: Sequence[Row], data: Mapping[str, Any]) -> list[Row]:
    """Return the steps after the button that was pressed: up, down, remove or add."""
    new = list(rows)
    for button, by in (("up", -1), ("down", 1)):
        place = _place(data.get(button), new)
        if place is not None and 0 <= place + by < len(new):
            new.insert(place + by, new.pop(place))
    place = _place(data.get("remove"), new)
    if place is not None:
        del new[place]
    kind = data.get("add_kind", "")
    if "add" in data and kind in STEP_FIELDS and len(new) < MOST_STEPS:
        new.append(_begun(kind, new, data.get("width", "")))
    return new


def _place(text: str | None, rows: Sequence[Row]) -> int | None:
    place = (sent_number(text) or 0) - 1
    return place if 0 <= place < len(rows) else None


def _begun(kind: str, rows: Sequence[Row], width: str) -> Row:
    """Return a new step; drawn out to the size of the draw before it."""
    row = {"kind": kind}
    if kind == "cut":
        row["pieces"] = PIECES
    if kind == "twist":
        row["octagon"] = "on"
    if kind == "draw":
        drawn = [one for one in rows if one["kind"] == "draw"]
        last = drawn[-1] if drawn else {"width": width, "thickness": ""}
        row |= {name: last.get(name, "") for name in ("width", "thickness")}
    return row


# --- a first plan --------------------------------------------------------------------


def start_texts(offers: Offers, system: System) -> tuple[dict[str, Any], list[Row]]:
    """Return what a new plan begins with: boxes, and steps."""
    dark, bright = _pair(list(offers.bars.values()))
    width = min(bar.width for bar in (dark, bright)) if dark and bright else START_WIDTH
    boxes: dict[str, Any] = {
        BAR_BOXES["A"]: dark,
        BAR_BOXES["B"]: bright,
        "order": START_ORDER,
        "length": size_text(START_LENGTH, "length", system),
        "width": width,
    }
    steps: list[dict[str, Any]] = [
        {"kind": "weld"},
        {"kind": "draw", "width": width, "thickness": 0.012},
        {"kind": "trim"},
        {"kind": "grind"},
        {"kind": "cut", "pieces": int(PIECES)},
        {"kind": "weld"},
        {"kind": "draw", "width": width, "thickness": 0.0065},
    ]
    rows = [
        {k: v if k == "kind" else value_text(k, v, system) for k, v in step.items()}
        for step in steps
    ]
    return boxes, filled(rows, system)


def _pair(bars: Sequence[BarSize]) -> tuple[BarSize | None, BarSize | None]:
    """Return a dark and a bright bar of one width, near the usual thicknesses."""
    pairs = [
        (dark, bright)
        for dark in bars
        for bright in bars
        if dark.steel.etch == "dark"
        and bright.steel.etch == "bright"
        and abs(dark.width - bright.width) < 1e-6
    ]
    return min(pairs, key=_oddness, default=(None, None))


def _oddness(pair: tuple[BarSize, BarSize]) -> tuple[float, float, str]:
    """Say how far bars are from the usual: in thickness, then in carbon."""
    dark, bright = pair
    far = abs(dark.thickness - DARK) + abs(bright.thickness - BRIGHT)
    return round(far, 6), round(abs(dark.steel.carbon - CARBON), 3), dark.steel.key
