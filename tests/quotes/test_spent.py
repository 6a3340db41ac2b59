"""What was written down, shared out: nothing twice, nothing that was taken back."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quotes.after.order import accepted, after
from quotes.after.spent import bench_of, hours_spent
from quotes.basis import basis_of, kept_cost_sheet
from quotes.pricing import price_order
from shop import services
from shop.entries import write_entry
from shop.models import Order
from tests.factories import KnifeFactory, OrderFactory, PlanFactory, moment
from tests.quotes.afters import accepted_order, delivered, stand, work
from tests.quotes.orders import drafted, ready_order, ready_shop

pytestmark = pytest.mark.django_db

TINY = Decimal("1e-20")


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def weigh(knife, kind, value):
    write_entry(knife, kind, value, str(value), by=None, at=moment())


def found(order):
    return after(order, accepted(order))


def hours(order):
    return hours_spent(bench_of(order))


# --- shared billets -----------------------------------------------------------------


def test_billet_of_two_orders_is_counted_once_in_all():
    plan = PlanFactory(length=0.5)
    first = accepted_order("One", "Two", plan=plan)
    second = accepted_order("Three", plan=plan, length=0.19)
    work(first.knives.first(), "billet", 4)
    work(second.knives.get(), "billet", "1.5", waiting=Decimal(2))
    weigh(second.knives.get(), "gas", 6.0)
    shares = [hours(order)["billet"].amount for order in (first, second)]
    assert abs(sum(shares) - Decimal("5.5")) < TINY
    assert shares[0] > shares[1] > 0
    waiting = [hours(order)["billet"].waiting for order in (first, second)]
    assert abs(sum(waiting) - 2) < TINY
    gas = [found(order).comparison.taken.gas.amount for order in (first, second)]
    assert abs(sum(gas) - 6) < TINY


def test_billet_is_shared_as_the_quote_shared_it():
    """The first order's share of hours is its share of the steel it was quoted."""
    plan = PlanFactory(length=0.5)
    ready_order("Other", plan=plan, length=0.19)
    order = accepted_order("One", plan=plan)
    whole = Decimal(8)
    work(order.knives.get(), "billet", whole)
    share = hours(order)["billet"].amount / whole
    billet = found(order).quote.basis["billets"][0]["forecast"]
    steel = found(order).comparison.reckoned.sum_of("steel")
    assert float(share) == pytest.approx(float(steel) / billet["bought"], rel=2e-3)


def test_declined_order_pays_nothing_of_a_billet():
    plan = PlanFactory(length=0.5)
    other = ready_order("Other", plan=plan)
    order = accepted_order("One", plan=plan)
    work(order.knives.get(), "billet", 4)
    assert hours(order)["billet"].amount == 2
    Order.objects.filter(pk=other.pk).update(state="declined")
    assert hours(order)["billet"].amount == 4


def test_hours_of_other_knives_are_not_of_this_order():
    plan = PlanFactory(length=0.5)
    order = accepted_order("One", plan=plan)
    other = accepted_order("Two", plan=plan)
    work(other.knives.get(), "grind", 5)
    assert hours(order)["grind"].amount == 0


# --- what counts --------------------------------------------------------------------


def test_hours_and_weights_taken_back_do_not_count():
    order = accepted_order("One")
    knife = order.knives.get()
    record = work(knife, "grind", 5)
    weigh(knife, "stack", 1.0)
    knife.entries.update(taken_back=moment())
    type(record).objects.update(taken_back=moment())
    assert hours(order)["grind"].amount == 0
    assert found(order).comparison.taken.steel.recorded == 0
    assert not found(order).comparison.begun


def test_row_is_complete_once_every_knife_has_left_it_behind():
    order = accepted_order("One", "Two")
    first, second = order.knives.all()
    work(first, "grind", 4)
    stand(first, "handle")
    row = hours(order)["grind"]
    assert (row.recorded, row.of, row.over, row.complete) == (1, 2, False, False)
    work(second, "grind", 3)
    assert not hours(order)["grind"].complete
    stand(second, "handle")
    row = hours(order)["grind"]
    assert (row.amount, row.complete) == (7, True)


def test_waiting_alone_is_no_record_of_hours():
    order = accepted_order("One")
    work(order.knives.get(), "harden", 0, waiting=Decimal(4))
    row = hours(order)["harden"]
    assert (row.recorded, row.waiting) == (0, 4)


# --- scrap --------------------------------------------------------------------------


def test_scrapped_knife_is_no_hour_of_its_row_but_of_the_failures():
    order = accepted_order("One")
    lost = order.knives.get()
    for row, spent in (("billet", 4), ("blade_forging", 2)):
        work(lost, row, spent)
    weigh(lost, "stack", 0.9)
    stand(lost, "scrapped")
    again = KnifeFactory(order=order, name="One again")
    services.assign_plan(again, PlanFactory(length=0.2))
    for row in ("billet", "grind"):
        work(again, row, 3)
    order = delivered(order)
    taken = found(order).comparison.taken
    assert (taken.rows["billet"].amount, taken.rows["grind"].amount) == (3, 3)
    assert (taken.lost.hours["billet"], taken.lost.hours["blade_forging"]) == (4, 2)
    assert float(taken.lost.steel) == pytest.approx(0.9, rel=0.2)
    assert taken.lost.final
    assert (taken.steel.recorded, taken.steel.of) == (0, 1)
    assert [str(one) for one in found(order).added] == [str(again)]


def test_scrapped_knife_of_a_shared_billet_takes_its_part_with_it():
    order = accepted_order("One", "Two")
    first = order.knives.first()
    work(first, "billet", 4)
    stand(first, "scrapped")
    taken = found(order).comparison.taken
    assert taken.rows["billet"].amount + taken.lost.hours["billet"] == 4
    assert taken.lost.hours["billet"] == 2


def test_failures_are_final_only_when_the_order_is_closed_and_scrap_is_told():
    order = accepted_order("One", "Two")
    first = stand(order.knives.first(), "scrapped")
    assert not found(order).comparison.taken.lost.final
    order = delivered(order)
    assert not found(order).comparison.taken.lost.final
    work(first, "grind", 1)
    assert found(order).comparison.taken.lost.final


# --- the money of the quote ---------------------------------------------------------


def test_option_that_was_taken_is_what_was_paid():
    option = {"label": "Oak", "mass": 0.2, "balance": 0.01, "amount": Decimal(900),
              "net": Decimal(800), "tax": Decimal(152), "total": Decimal(952),
              "deposit": Decimal(100),
              "values": {"handle_material": "oak"}}  # fmt: skip
    order = accepted_order("One", option=option)
    assert found(order).comparison.reckoned.net == 800
    assert found(order).of_another  # this quote did not keep what options cost


def test_option_is_compared_with_what_it_costs_itself():
    order = ready_order("One")
    drafted(order, options=[("Oak, bolster", {"bolster_mass": 0.03})])
    basis = basis_of(price_order(order, timezone.localdate()))
    plain, other = (kept_cost_sheet(basis, place) for place in (1, 2))
    assert plain == kept_cost_sheet(basis)
    assert other.cost > plain.cost
    handle = next(one for one in other.hours if one.row == "handle")
    assert (
        handle.expected
        > next(one for one in plain.hours if one.row == "handle").expected
    )


def test_what_is_no_knife_is_left_out_of_what_the_knives_bring():
    order = accepted_order("One", beside=[("extra", "40.00"), ("charge", "12.50")])
    one = found(order)
    assert one.net == one.quote.net
    assert one.beside == Decimal("52.50")
    assert one.comparison.reckoned.net == one.quote.net - Decimal("52.50")


@pytest.mark.parametrize("old", [False, True])
def test_quote_as_accepted_adds_up_to_its_cost(old):
    one = found(accepted_order("One", "Two", old=old))
    kept = one.quote.basis["cost"]
    assert one.comparison.estimated_cost == Decimal(kept["cost"])
    assert one.comparison.estimated_left == one.quote.net - Decimal(kept["cost"])
    assert "bar" in one.billets[0].forecast


def test_steel_as_planned_is_what_the_quote_bought():
    """Stacked as planned, the ripped-off part comes with it and nothing differs."""
    order = accepted_order("One", "Two")
    planned = found(order).billets[0].forecast["stack"]
    weigh(order.knives.first(), "stack", planned)
    assert found(order).comparison.taken.steel.complete
    lines = [one for one in found(order).comparison.lines if one.line.key == "steel"]
    assert all(
        abs(one.quantity - one.line.quantity) <= Decimal("0.001") for one in lines
    )


def test_refused_quote_is_no_quote_to_compare_with():
    assert accepted(OrderFactory()) is None


def test_more_knives_of_a_billet_take_no_more_queries():
    counts = []
    for names in (["One"], ["One", "Two", "Three"]):
        order = accepted_order(*names)
        for knife in order.knives.all():
            work(knife, "grind", 1)
            weigh(knife, "knife", 0.15)
        with CaptureQueriesContext(connection) as asked:
            found(order)
        counts.append(len(asked))
    assert counts[0] == counts[1]
