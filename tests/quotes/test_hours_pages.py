"""Hours ticked on the knife's page, and what is kept with them."""

from decimal import Decimal

import pytest
from django.urls import reverse

from billets.models import PlanStep
from quotes.work.drivers import driver_of, plan_hours
from shop import work
from shop.models import Rate, WorkRecord
from tests.factories import OrderFactory, PlanFactory
from tests.quotes.worked import at, today, write
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return OrderFactory(accepted=True)


def page_of(client, knife):
    return client.get(knife.get_absolute_url())


def send(client, knife, **boxes):
    data = {"form_key": key_on(page_of(client, knife)), **boxes}
    return client.post(reverse("knife-hours", args=[knife.serial]), data)


# --- the knife's page -------------------------------------------------------------


def test_a_tick_is_all_it_takes_and_helpers_may(helper_client, helper, order):
    knife = at("grind", order)
    answer = send(helper_client, knife, grind_grind_ticks="2")
    assert (answer.status_code, answer.url) == (302, knife.get_absolute_url())
    record = WorkRecord.objects.get()
    assert (record.stage, record.row) == ("grind", "grind")
    assert (record.hands_on, record.waiting, record.by) == (2, 0, helper)
    text = text_of(page_of(helper_client, knife))
    assert "2 h hands on" in text
    assert "€" not in text


def test_ticks_are_those_of_the_paper(helper_client, order):
    """The foot of the build sheet has the same ranges; common practice, no source."""
    page = page_of(helper_client, at("grind", order)).content.decode()
    assert [page.count(f">{one}<") or page.count(f" {one}<") for one in ("¼", "½")]
    form = helper_client.get(at("grind", order).get_absolute_url()).context["hours"]
    offered = [str(said) for _key, said in form.fields["grind_grind_ticks"].choices]
    assert offered == ["none", "¼", "½", "1", "2", "3", "4+"]


def test_figures_and_waiting_are_typed_where_no_tick_says_them(helper_client, order):
    knife = at("handle", order)
    sent = {"handle_handle_ticks": "more", "handle_handle_exact": "5.25",
            "handle_handle_waiting": "24",
            "finish_hand_finish_ticks": "0.5"}  # fmt: skip
    assert send(helper_client, knife, **sent).status_code == 302
    sums = work.hours_by_row(knife.work.all())
    assert (sums["handle"].hands_on, sums["handle"].waiting) == (Decimal("5.25"), 24)
    assert sums["hand_finish"].hands_on == Decimal("0.5")


@pytest.mark.parametrize(
    ("boxes", "wrong", "said"),
    [
        ({"exact": "-1"}, "exact", "-1"),
        ({"exact": "25"}, "exact", "24 h or less"),
        ({"exact": "long"}, "exact", "long"),
        ({"waiting": "300"}, "waiting", "240 h or less"),
        ({"waiting": "ages"}, "waiting", "ages"),
        ({"ticks": "7"}, "ticks", "Choose one of the list"),
        ({"ticks": "more"}, "exact", "type how many hours"),
        ({"ticks": "1", "exact": "2"}, "exact", "not both"),
    ],
)
def test_bad_hours_are_told_beside_their_box_and_stay_typed(
    helper_client, order, boxes, wrong, said
):
    knife = at("grind", order)
    sent = {f"grind_grind_{name}": value for name, value in boxes.items()}
    answer = send(helper_client, knife, forge_blade_forging_ticks="1", **sent)
    assert answer.status_code == 200
    assert said in errors_on(answer, f"hours_grind_grind_{wrong}")
    page = answer.content.decode()
    assert all(f'value="{value}"' in page for value in boxes.values() if value != "7")
    assert not any(stock in text_of(answer) for stock in STOCK_WORDS)
    assert not WorkRecord.objects.exists()


def test_a_form_of_nothing_asks_for_hours(helper_client, order):
    answer = send(helper_client, at("grind", order))
    assert "Tick or type some hours first." in text_of(answer)


def test_a_form_sent_twice_writes_once(helper_client, order):
    knife = at("grind", order)
    data = {"form_key": key_on(page_of(helper_client, knife)), "grind_grind_ticks": "1"}
    for _count in range(2):
        helper_client.post(reverse("knife-hours", args=[knife.serial]), data)
    assert WorkRecord.objects.count() == 1


def test_a_knife_asks_for_hours_of_the_stages_it_has_come_to(helper_client, order):
    shown = [
        page_of(helper_client, at(stage, order)).context["hours"].places
        for stage in ("", "forge", "finish")
    ]
    assert shown[0] == []
    assert shown[1] == [("forge", "blade_forging")]  # no billet yet
    assert ("finish", "grind") in shown[2]
    assert ("handle", "handle") not in shown[2]
    with_billet = at("forge", order, PlanFactory())
    places = page_of(helper_client, with_billet).context["hours"].places
    assert places == [("forge", "billet"), ("forge", "blade_forging")]


def test_hours_can_be_taken_back_once(helper_client, order):
    knife = at("grind", order)
    write(knife, "grind", "grind", "3")
    number = WorkRecord.objects.get().pk
    assert send(helper_client, knife, take_back=str(number)).status_code == 302
    assert WorkRecord.objects.get().taken_back
    text = text_of(page_of(helper_client, knife))
    assert "3 h hands on; taken back" in text
    again = send(helper_client, knife, take_back=str(number))
    assert "taken back already" in text_of(again)


@pytest.mark.parametrize("odd", ["", "x", "-1", "9" * 30, "0"])
def test_taking_back_what_is_not_there_is_not_found(helper_client, order, odd):
    assert send(helper_client, at("grind", order), take_back=odd).status_code == 404


def test_hours_of_another_knife_cannot_be_taken_back(helper_client, order):
    write(at("grind", order), "grind", "grind", "3")
    number = str(WorkRecord.objects.get().pk)
    assert send(helper_client, at("grind", order), take_back=number).status_code == 404
    assert WorkRecord.objects.get().taken_back is None


# --- drivers kept with the hours --------------------------------------------------


def test_drivers_follow_the_knife(helper_client, order):
    small, big = (at("finish", order, length=length) for length in (0.15, 0.24))
    for knife in (small, big):
        send(helper_client, knife, finish_hand_finish_ticks="1")
    one, other = (WorkRecord.objects.get(knife=knife).driver for knife in (small, big))
    assert other > 1.3 * one
    assert one == pytest.approx(driver_of(small, "hand_finish", today()))


def test_driver_of_a_billet_is_the_hours_of_its_plan(helper_client, order):
    """Without what the shop has taught the model, which it would else teach twice."""
    plan = PlanFactory()
    knife = at("forge", order, plan)
    send(helper_client, knife, forge_billet_ticks="3")
    assert WorkRecord.objects.get().driver == pytest.approx(plan_hours(plan))
    assert 2 < plan_hours(plan) < 9


def test_a_billet_that_cannot_be_made_is_told_beside_its_ticks(helper_client, order):
    plan = PlanFactory()
    PlanStep.objects.filter(plan=plan, kind="draw").update(thickness=0.5)
    knife = at("forge", order, plan)
    answer = send(helper_client, knife, forge_billet_ticks="3")
    assert answer.status_code == 200
    assert errors_on(answer, "hours_forge_billet_ticks")
    assert not WorkRecord.objects.exists()


def test_a_shop_without_rates_can_write_hours_all_the_same(helper_client, order):
    assert not Rate.objects.exists()
    knife = at("grind", order)
    assert send(helper_client, knife, grind_grind_ticks="1").status_code == 302
