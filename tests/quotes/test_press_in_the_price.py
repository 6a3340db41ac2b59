"""The same knife from the same billet, on a small and on a larger press."""

import datetime as dt

import pytest

from billets.figures import figures_of, fit_stack, targets_of
from billets.models import Equipment
from billets.services import plan_spec, shop_beliefs
from quotes.pricing import price_order
from tests.quotes.orders import ready_order, ready_shop

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 11, 2)


def test_press_decides_heats_hours_stack_and_price():
    """A small press draws a billet in narrow bites and more heats, and is never
    "impossible": common practice, no source."""
    ready_shop()
    order = ready_order("Gyuto", "Santoku", "Petty")
    plan = order.knives.first().target.plan
    found = {}
    for force in (69e3, 245e3):
        Equipment.objects.filter(pk=plan.tool_id).update(kind="press", force=force)
        plan.tool.refresh_from_db()
        figures = figures_of(plan)
        spec = plan_spec(plan)
        _spec, fit = fit_stack(
            spec, targets_of(plan, spec), shop_beliefs(), seed=1, chance=0.8
        )
        price = price_order(order, DAY).lines
        found[force] = (
            float(figures.plain.heats),
            float(figures.plain.attended_seconds),
            float(figures.plain.gas),
            float(fit.stack.length),
            price.direct,
        )
    small, large = found.values()
    assert all(one > other for one, other in zip(small, large, strict=True)), found
