"""What an hour of a plan costs where stacks are weighed against each other."""

import pytest

from quotes.stacks.unit_costs import unit_costs_on
from tests.factories import OrderFactory, PlanFactory
from tests.quotes.orders import ready_shop
from tests.quotes.worked import at, today, write

pytestmark = pytest.mark.django_db


def test_hour_costs_the_rate_until_billets_have_taught_otherwise():
    ready_shop()
    assert unit_costs_on(today()).hour == 50.0


@pytest.mark.parametrize(("took", "dearer"), [("9", True), ("3", False)])
def test_slow_billets_make_an_hour_of_a_plan_dearer(took, dearer):
    """Invented: billets of four hours by the model that took nine, or three."""
    ready_shop()
    for _place in range(3):
        knife = at("forge", OrderFactory(accepted=True), PlanFactory())
        write(knife, "forge", "billet", took, driver=4.0)
        type(knife).objects.filter(pk=knife.pk).update(stage="grind")
    assert (unit_costs_on(today()).hour > 50.0) is dearer
