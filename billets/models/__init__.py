"""What the shop has and what it plans: steels, bars, tools, billets."""

from billets.models.equipment import Equipment, ShopFactor
from billets.models.plans import (
    Plan,
    PlanBar,
    PlanQuerySet,
    PlanStep,
    PlanTarget,
)
from billets.models.sent import SubmittedForm
from billets.models.steels import BarSize, Steel, TemperPoint

__all__ = [
    "BarSize",
    "Equipment",
    "Plan",
    "PlanBar",
    "PlanQuerySet",
    "PlanStep",
    "PlanTarget",
    "ShopFactor",
    "Steel",
    "SubmittedForm",
    "TemperPoint",
]
