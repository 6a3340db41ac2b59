"""The knife behind a target, read by the names the core gives its fields.

Billets know no order and no customer; what a target is for is one row away and names
its sizes as ``KnifeSpec`` does.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import prefetch_related_objects

from billets.models import PlanTarget
from billets.physics.errors import PlanError
from billets.physics.knife_checks import check_knife
from billets.physics.knife_spec import KnifeSpec

SPEC_FIELDS = tuple(field.name for field in dataclasses.fields(KnifeSpec))


def spec_from(values: Mapping[str, Any]) -> KnifeSpec:
    """Return the core's specification from clean values named as the model's fields."""
    known = {name: values[name] for name in SPEC_FIELDS if name in values}
    known["ferrule"] = known.get("ferrule") or None
    return KnifeSpec(**known)


def spec_of_row(row: object) -> KnifeSpec:
    """Return the core's specification of a knife as it is saved."""
    return spec_from(
        {name: getattr(row, name) for name in SPEC_FIELDS if hasattr(row, name)}
    )


def with_knives(rows: Iterable[PlanTarget]) -> list[PlanTarget]:
    """Return targets with their knives at hand, in one query at most."""
    found = list(rows)
    prefetch_related_objects(found, "knife")
    return found


def knife_of(row: PlanTarget) -> KnifeSpec | None:
    """Return the knife a target is for; None where none can be made by its row."""
    knife = getattr(row, "knife", None)
    if knife is None:
        return None
    try:
        spec = spec_of_row(knife)
        check_knife(spec)
    except PlanError:
        return None  # its own page says why; the bar is planned by what it needs
    return spec
