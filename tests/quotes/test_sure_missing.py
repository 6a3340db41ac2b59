"""What the page "how sure" says where something is missing."""

import pytest
from django.urls import reverse

from billets.models import Plan, PlanBar, PlanStep
from billets.physics.plan import run_plan
from billets.services import plan_input
from quotes.stacks.costs import priced
from quotes.stacks.sureness import sureness_of
from quotes.stacks.unit_costs import unit_costs_on
from shop.models import Rate
from tests.factories import BarSizeFactory, PlanFactory
from tests.quotes.orders import LONG_AGO, number_in, ready_order, ready_shop, table_rows
from tests.quotes.sure import address, buttons, page_of, stacks
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    ready_shop()
    row = PlanFactory(length=0.1)
    ready_order("One", "Other", plan=row)
    return Plan.objects.get(pk=row.pk)


# --- what is missing ------------------------------------------------------------------


def test_billet_of_no_knife_says_where_to_choose_it(owner_client):
    ready_shop()
    answer = page_of(owner_client, PlanFactory())
    text = text_of(answer)
    assert "choose it on the page of a knife" in text
    assert "What makes it uncertain" in text
    assert not buttons(answer)


def test_billet_that_cannot_be_made_says_why(owner_client, plan):
    PlanBar.objects.filter(plan=plan, letter="B").delete()
    text = text_of(page_of(owner_client, plan))
    assert "This billet cannot be made so: The letter B stands for no bar" in text


def test_billet_no_length_suffices_for_says_the_way_out(owner_client, plan):
    PlanStep.objects.create(plan=plan, position=6, kind="grind", face=0.006)
    text = text_of(page_of(owner_client, plan))
    assert "This billet cannot be made so:" in text


def test_chance_that_no_length_reaches_is_told_in_its_row(owner_client, plan):
    """Ground so deep that one billet in six is ground through, however long."""
    PlanStep.objects.create(plan=plan, position=6, kind="grind", face=0.0019)
    answer = page_of(owner_client, plan)
    told = [row for row in table_rows(answer) if len(row) == 2 and "%" in row[0]]
    assert told
    assert all("No length of stack up to" in row[1] for row in told)
    assert "80 %" in stacks(answer) or "50 %" in stacks(answer)


@pytest.mark.parametrize("length", [0.95, 1.0])
def test_stack_nearly_as_long_as_its_bars_is_priced(owner_client, plan, length):
    """Bars of 1 m: a longer one could not be cut from them."""
    Plan.objects.update(length=length)
    row = stacks(page_of(owner_client, plan))["As planned now"]
    assert number_in(row[4]) > 0


def test_stack_longer_than_its_bars_says_so_instead_of_amounts(owner_client, plan):
    Plan.objects.update(length=1.2)
    text = text_of(page_of(owner_client, plan))
    assert "does not fit on a bar" in text
    assert "95 %" in text


def test_stack_too_short_to_be_cut_is_told_and_the_others_stand(owner_client, plan):
    Plan.objects.update(length=0.02)
    answer = page_of(owner_client, plan)
    rows = [row for row in table_rows(answer) if row and row[0] == "As planned now"]
    assert len(rows[0]) == 2
    assert rows[0][1].startswith("Step ")
    assert {"80 %", "95 %"} <= set(stacks(answer))
    assert "What makes it uncertain" not in text_of(answer)


def test_shop_without_rates_sees_stacks_but_no_amounts(owner_client, plan):
    Rate.objects.all().delete()
    answer = page_of(owner_client, plan)
    text = text_of(answer)
    assert "No rates are in force on" in text
    assert "Open the rates" in text
    assert "95 %" in text
    assert "€" not in text
    assert owner_client.post(address(plan), buttons(answer)[1]).status_code == 302


def test_steel_without_a_price_is_named(owner_client, plan):
    Rate.objects.filter(key="steel.pale").delete()
    text = text_of(page_of(owner_client, plan))
    assert "Pale steel has no price a kilogram; enter one with the steel." in text


def test_steel_that_costs_nothing_makes_no_cheapest_stack(owner_client, plan):
    Rate.objects.filter(key__in=("steel.pale", "steel.dark", "gas", "labour")).update(
        value=0
    )
    text = text_of(page_of(owner_client, plan))
    assert "more steel costs nothing" in text
    assert "95 %" in text


def test_helper_is_told_that_this_is_the_owners(helper_client, plan):
    for answer in (helper_client.get(address(plan)), helper_client.post(address(plan))):
        assert answer.status_code == 403
        assert "kept to whoever runs the shop" in text_of(answer)


def test_billet_that_is_not_there_is_not_found(owner_client):
    assert owner_client.get(reverse("sure", args=[4711])).status_code == 404


def test_steel_of_a_core_is_paid_too(owner_client, plan):
    """Arithmetic: the core is cut as long as the halves it lies between."""
    bar = BarSizeFactory(width=0.042)
    PlanStep.objects.create(plan=plan, position=6, kind="core", core=bar)
    PlanStep.objects.create(plan=plan, position=7, kind="weld")
    found = sureness_of(plan)
    money = priced(found, unit_costs_on(LONG_AGO))
    stack = 0.1 * 0.035 * (6 * 0.0035 + 5 * 0.0018) * 7850 * 9.25
    plain = run_plan(plan_input(found.spec))
    (laid,) = (step for step in plain.steps if step.kind == "core")
    core = float(laid.length) * 0.042 * 0.0035 * 7850 * 9.25
    assert money.making.steel == pytest.approx(stack + core)
    assert "95 %" in text_of(page_of(owner_client, plan))
