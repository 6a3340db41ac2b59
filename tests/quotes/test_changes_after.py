"""A change after the yes, its price, fee and answer; a cancellation and its sum."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.changes_after import saving
from quotes.changes_after.agreed import knife_prices
from quotes.changes_after.figured import Impossible
from quotes.errors import QuoteError
from quotes.money import money
from quotes.pricing import price_order
from shop import services
from shop.models import AgreedChange, Knife, Order, Rate
from shop.services import StaleError
from shop.stages import StageError
from tests.factories import KnifeFactory, moment
from tests.quotes.changes import (
    agreed_order,
    at_stage,
    figure,
    knife_of,
    made,
)
from tests.quotes.orders import (
    answer,
    drafted,
    issue,
    ready_order,
    without_printer,
)
from tests.quotes.orders import ready_shop as lay_in

pytestmark = pytest.mark.django_db

WEEK = dt.date(2026, 5, 4)


@pytest.fixture(autouse=True)
def ready_shop():
    lay_in()


def yes(change, how="on the telephone"):
    return saving.answer_change(change, accepted=True, how=how, at=moment())


def no(change, how="by mail"):
    return saving.answer_change(change, accepted=False, how=how, at=moment())


def gross(order):
    return price_order(order, timezone.localdate()).lines.price.whole.gross


# --- what it comes to --------------------------------------------------------------


def test_work_costs_what_the_real_chain_asks_for_the_other_knife():
    """A law: the difference told before is the difference of the prices after."""
    order = agreed_order()
    before = gross(order)
    change = made(knife_of(order), length=0.183)
    yes(change)
    assert change.more == gross(order) - before > 0


def test_smaller_knife_costs_less_and_a_finish_nothing():
    knife = knife_of(agreed_order())
    assert figure(knife, length=0.15).more < 0
    same = figure(knife, finish="polished spine")
    assert (same.more, same.fee) == (0, 0)
    assert same.total == 1000


def test_fee_is_the_rung_of_the_part_changed():
    knife = knife_of(agreed_order())
    before, after = (figure(knife, cut=cut, length=0.183) for cut in (False, True))
    assert before.fee == 0
    assert 0 < after.part < before.part < 1000  # the grind is not begun
    assert after.fee == money(after.part / 2)
    handle = figure(knife, cut=True, handle_material="beech")
    assert [one.key for one in handle.parts] == ["handle"]
    assert handle.fee == 0  # nor is the handle
    Rate.objects.filter(key="change_after").update(value=Decimal(20))
    assert figure(knife, cut=True, length=0.183).fee == money(after.part / 5)


def test_smith_may_ask_for_another_fee_and_another_total():
    one = figure(knife_of(agreed_order()), cut=True, length=0.183, fee="20", total=1100)
    assert (one.fee, one.total, one.more) == (20, 1100, 80)
    assert one.reckoned_fee > 20


def test_discount_in_per_cent_counts_and_a_total_asked_for_once_does_not():
    order = agreed_order()
    plain = figure(knife_of(order), length=0.183).more
    drafted(order, discount_percent=Decimal(10), asked=Decimal(900), step=Decimal(50))
    less = figure(knife_of(order), length=0.183).more
    assert less == pytest.approx(plain * Decimal("0.9"), abs=Decimal("0.02"))


def test_billet_is_asked_whether_it_still_suffices_until_it_is_forged():
    order = agreed_order()
    one = figure(knife_of(order), length=0.183)
    plan = one.priced.plans[one.knife.target.plan_id]
    assert one.billet.verdict.needed > plan.verdict.needed
    assert one.billet.plain.bar_mass == plan.plain.bar_mass
    knife = at_stage(knife_of(order), "grind")
    assert figure(knife, length=0.155).billet is None


def test_impossible_change_says_so_for_every_box_and_nothing_changed_is_asked_about():
    order = agreed_order()
    knife = at_stage(knife_of(order), "finish")
    with pytest.raises(Impossible) as told:
        figure(knife, length=0.183, hardness=62.0)
    assert {one.field for one in told.value.errors} == {"length", "hardness"}
    with pytest.raises(QuoteError, match="Nothing of the knife is changed"):
        figure(knife, note="mind the tip")


# --- the answer --------------------------------------------------------------------


def test_yes_changes_knife_total_deposit_week_and_nothing_before_it():
    order = agreed_order(promised_week=dt.date(2026, 4, 6))
    change = made(knife_of(order), length=0.183, new_week=WEEK)
    assert knife_of(order).length == 0.163
    assert Order.objects.get(pk=order.pk).agreed == 1000
    change = yes(change)
    order.refresh_from_db()
    knife = knife_of(order)
    assert (knife.length, knife.version) == (0.183, 2)
    assert knife.target.needed > 0.2
    assert order.agreed == 1000 + change.more + change.fee
    assert (order.promised_week, order.deposit_due) == (WEEK, 300)
    assert (change.state, change.how) == ("agreed", "on the telephone")
    assert change.answered_at is not None


def test_no_leaves_everything_and_is_kept():
    order = agreed_order(promised_week=WEEK)
    change = no(made(knife_of(order), length=0.183, new_week=dt.date(2026, 6, 1)))
    order.refresh_from_db()
    assert (order.agreed, order.promised_week) == (1000, WEEK)
    assert knife_of(order).length == 0.163
    assert (change.state, change.how) == ("refused", "by mail")


def test_what_was_said_once_stays_said():
    order = agreed_order()
    agreed = yes(made(knife_of(order), length=0.183))
    with pytest.raises(StageError, match="yes to this change is written down already"):
        no(agreed)
    refused = no(made(knife_of(order), length=0.193))
    with pytest.raises(StageError, match="no to this change is written down already"):
        yes(refused)
    assert knife_of(order).length == 0.183


def test_answer_without_how_it_was_said_is_asked_back():
    change = made(knife_of(agreed_order()), length=0.183)
    with pytest.raises(StageError, match="Say how it was said"):
        yes(change, how="  ")


def test_second_change_waits_for_the_answer_to_the_first_and_adds_to_it():
    order = agreed_order()
    first = made(knife_of(order), length=0.183)
    with pytest.raises(StageError, match="not answered yet"):
        made(knife_of(order), length=0.190)
    yes(first)
    second = made(knife_of(order), handle_material="beech", total="1200")
    assert second.values["number"] == 2
    yes(second)
    order.refresh_from_db()
    assert order.agreed == 1200
    assert set(order.changes.values_list("state", flat=True)) == {"agreed"}


def test_two_knives_may_wait_at_once_and_both_add_up():
    order = agreed_order("One", "Other")
    waiting = [made(knife_of(order, at), length=0.183) for at in (0, 1)]
    for change in waiting:
        yes(change)
    order.refresh_from_db()
    assert order.agreed == 1000 + sum(one.more + one.fee for one in waiting)


def test_knife_changed_meanwhile_is_not_written_over():
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    services.change_knife(knife_of(order), {"finish": "satin"})
    with pytest.raises(StageError, match="has been changed since"):
        yes(change)
    order.refresh_from_db()
    assert (order.agreed, knife_of(order).length) == (1000, 0.163)
    stale = knife_of(order)
    no(change)
    Knife.objects.filter(pk=stale.pk).update(version=9)
    with pytest.raises(StaleError):
        made(stale, length=0.183)
    assert AgreedChange.objects.count() == 1


def test_knife_that_came_too_far_meanwhile_is_refused_with_the_reason():
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    at_stage(knife_of(order), "grind")
    with pytest.raises(QuoteError, match="can only be forged anew"):
        yes(change)
    assert AgreedChange.objects.get().state == "open"


def test_price_of_a_change_does_not_outlive_the_gate_it_was_reckoned_before():
    """A shorter knife can still be made after hardening, but not at the forge's fee."""
    order = agreed_order()
    change = made(knife_of(order), length=0.150)
    at_stage(knife_of(order), "harden")
    with pytest.raises(QuoteError, match="has come further since"):
        yes(change)
    assert AgreedChange.objects.get().state == "open"
    no(change)
    assert yes(made(knife_of(order), length=0.150)).state == "agreed"


def test_order_that_is_not_accepted_or_over_has_no_changes():
    order = ready_order()
    services.agree_on(order, total=Decimal(1000), deposit=Decimal(0))
    with pytest.raises(StageError, match="is not accepted"):
        made(knife_of(order), length=0.183)
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    saving.cancel(order, "moved abroad", cut=False, by=None, at=moment())
    change.refresh_from_db()
    assert (change.state, change.how) == ("refused", "moved abroad")


def test_order_accepted_without_a_quote_has_no_price_to_reckon_from():
    order = agreed_order()
    Order.objects.filter(pk=order.pk).update(agreed=None, deposit_due=None)
    with pytest.raises(QuoteError, match="accepted without a quote"):
        figure(knife_of(order), length=0.183)


# --- the price of one knife --------------------------------------------------------


def test_prices_of_knives_add_up_to_what_is_agreed(owner_client, monkeypatch):
    without_printer(monkeypatch)
    order = ready_order("One", "Other")
    drafted(
        order, extras=[("sheath", "60")], discount_percent=Decimal(5),
        options=[("Beech", {"handle_material": "beech", "more": Decimal(80)})],
    )  # fmt: skip
    answer(owner_client, issue(owner_client, order), "yes", option="2")
    order.refresh_from_db()
    prices = knife_prices(order, "EUR")
    first, other = prices.values()
    assert first + other == order.agreed
    assert first > other + 60  # the option is of the first knife alone
    change = yes(made(knife_of(order), length=0.183))
    order.refresh_from_db()
    again = knife_prices(order, "EUR")
    serial = change.knife.serial
    assert again[serial] == prices[serial] + change.more + change.fee
    assert sum(again.values()) == order.agreed


def test_knife_made_again_has_the_price_of_the_lost_one(owner_client, monkeypatch):
    without_printer(monkeypatch)
    order = ready_order()
    answer(owner_client, issue(owner_client, order), "yes")
    order.refresh_from_db()
    lost = knife_of(order)
    services.move_knife(
        lost, "scrapped", gate_passed=False, by=None, at=moment(), reason="crack"
    )
    again = KnifeFactory(order=order)
    assert knife_prices(order, "EUR") == {again.serial: order.agreed}
