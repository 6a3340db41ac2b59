"""What was weighed of a billet and of a knife: written down, asked about, taken back.

Nothing is ever changed: the last entry that is not taken back counts. What is said of
a billet on one knife's page counts for every knife that comes out of it.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from types import MappingProxyType

from django.contrib.auth.models import User
from django.db.models import Q, QuerySet

from billets.physics.errors import Flag, PlanError, _
from billets.physics.knife import weigh_knife
from billets.physics.plan import PlanResult, run_plan
from billets.services import plan_input, plan_spec, shop_beliefs
from shop import stages
from shop.models import Entry, Knife
from shop.services import spec_of
from shop.stages import StageError

BILLET_KINDS = ("stack", "bar", "gas")
KNIFE_KIND = "knife"
MEASURED_IN: Mapping[str, str] = MappingProxyType(
    {"stack": "mass_kg", "bar": "mass_kg", "gas": "mass_kg", "knife": "mass"}
)
"""Every kind of entry, with the kind of quantity its box reads."""

TYPED_MOST = 40
GAS_TIMES, MASS_TIMES = 4.0, 2.0
"""From so many times its forecast a weight is asked about."""


def write_entry(
    knife: Knife, kind: str, value: float, typed: str, *, by: User | None,
    at: dt.datetime,
) -> Entry:  # fmt: skip
    """Write down what was weighed [kg]; StageError if it cannot be."""
    if kind not in kinds_of(knife):
        raise StageError(
            _("This cannot be weighed of {name}: begin the work and set its billet "
              "first."), field=kind, name=str(knife),
        )  # fmt: skip
    if not (math.isfinite(value) and value > 0):
        raise StageError(_("Weigh again: this must be above zero."), field=kind)
    return Entry.objects.create(
        knife=knife, kind=kind, value=value, typed=typed[:TYPED_MOST], by=by, at=at
    )


def kinds_of(knife: Knife) -> tuple[str, ...]:
    """Return what can be weighed of a knife: nothing before its work has begun."""
    if knife.stage == stages.NOT_STARTED:
        return ()
    return (*(BILLET_KINDS if knife.target.plan_id else ()), KNIFE_KIND)


def entries_of(knife: Knife) -> QuerySet[Entry]:
    """Return all entries of a knife and of its billet, latest first."""
    own = Q(knife=knife)
    if knife.target.plan_id:
        shared = Q(knife__target__plan=knife.target.plan_id, kind__in=BILLET_KINDS)
        own = own | shared
    return Entry.objects.filter(own).select_related("knife", "by").order_by("-pk")


def last_of(knife: Knife, kind: str) -> Entry | None:
    """Return the entry that counts, if there is one."""
    return entries_of(knife).filter(kind=kind, taken_back=None).first()


# --- what looks wrong ----------------------------------------------------------------


def doubts(knife: Knife, values: Mapping[str, float]) -> tuple[Flag, ...]:
    """Return what looks wrong in weights that are about to be written [kg].

    Each flag's field is the kind of entry it asks about. A plan or a knife that can
    no longer be reckoned asks nothing.
    """
    found = [*_of_the_knife(knife, values), *_of_the_plan(knife, values)]
    if {"bar", "stack"} & set(values):
        bar, stack = (_counting(knife, values, kind) for kind in ("bar", "stack"))
        if bar and stack and bar > stack:
            found.append(_doubt(
                _("The bar, {bar_mass}, is heavier than the steel stacked, "
                  "{stack_mass}."),
                "bar" if "bar" in values else "stack", bar_mass=bar, stack_mass=stack,
            ))  # fmt: skip
    return tuple(found)


def _doubt(message: str, field: str, **values: object) -> Flag:
    return Flag(message=message, field=field, values=values)


def _counting(knife: Knife, values: Mapping[str, float], kind: str) -> float | None:
    """Return a weight about to be written, else the one that counts so far."""
    if kind in values:
        return values[kind]
    last = last_of(knife, kind)
    return last.value if last else None


def _of_the_knife(knife: Knife, values: Mapping[str, float]) -> list[Flag]:
    mass, forecast = values.get(KNIFE_KIND), forecast_mass(knife)
    if mass is None or not forecast or _near(mass, forecast, MASS_TIMES):
        return []
    return [_doubt(
        _("The finished knife weighs {mass}; {forecast_mass} were expected."),
        KNIFE_KIND, mass=mass, forecast_mass=forecast,
    )]  # fmt: skip


def _of_the_plan(knife: Knife, values: Mapping[str, float]) -> list[Flag]:
    planned = _planned(knife) if {"gas", "stack"} & set(values) else None
    if planned is None:
        return []
    found = []
    gas, stack = values.get("gas"), values.get("stack")
    if gas is not None and gas > GAS_TIMES * float(planned.gas):
        found.append(_doubt(
            _("{gas} of gas is more than four times what is planned, {planned_gas}."),
            "gas", gas=gas, planned_gas=float(planned.gas),
        ))  # fmt: skip
    whole = float(planned.start_mass) + float(planned.added)
    if stack is not None and not _near(stack, whole, MASS_TIMES):
        found.append(_doubt(
            _("{stack_mass} of steel were stacked; {planned_mass} are planned."),
            "stack", stack_mass=stack, planned_mass=whole,
        ))  # fmt: skip
    return found


def _near(value: float, forecast: float, times: float) -> bool:
    return forecast / times <= value <= forecast * times


def forecast_mass(knife: Knife) -> float | None:
    """Return what a knife should weigh [kg]; None if it can no longer be reckoned."""
    try:
        return weigh_knife(spec_of(knife)).mass
    except PlanError:
        return None


def _planned(knife: Knife) -> PlanResult | None:
    """Return what the billet of a knife gives at the medians."""
    if knife.target.plan is None:
        return None
    try:
        spec = plan_spec(knife.target.plan)
        return run_plan(plan_input(spec, shop_beliefs().factors))
    except PlanError:
        return None
