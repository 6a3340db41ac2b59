"""A knife after the yes is said as it is agreed: the quote, its option, the changes."""

import pytest
from django.utils import translation

from billets.models import Plan, PlanStep
from quotes.changes_after import saving
from quotes.changes_after.as_agreed import agreed_knives, words_of
from quotes.models import Quote
from shop import services
from shop.models import Knife, Order
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory, moment
from tests.quotes.changes import agree, agreed_order, made, said_yes
from tests.quotes.orders import ready_shop, without_printer

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


def knives_as_agreed(order, system):
    knives = agreed_knives(order)
    return {serial: words_of(one, system) for serial, one in knives.items()}


def frozen(order):
    return Quote.objects.get(order=order).basis["words"]["knives"]


def test_knife_as_it_was_quoted_keeps_the_words_of_the_quote(owner_client):
    """Whatever is altered since at the bench, of the billet and of the knife itself."""
    order = said_yes(owner_client, "One", "Other")
    for knife in order.knives.all():
        services.change_knife(knife, {"hardness": 55.0, "finish": "as it came"})
    PlanStep.objects.filter(kind="cut").update(pieces=5)
    assert knives_as_agreed(order, "metric") == frozen(order)
    with translation.override("de"):
        assert knives_as_agreed(order, "inch") == frozen(order)


@pytest.mark.parametrize(("option", "handle"), [(1, "walnut"), (2, "olive")])
def test_option_taken_is_what_is_said(owner_client, option, handle):
    choices = [("Olive", {"handle_material": "olive", "more": 40})]
    order = said_yes(owner_client, options=choices, option=option)
    (said,) = knives_as_agreed(order, "metric").values()
    (quoted,) = frozen(order).values()
    assert handle in said["handle"]
    assert "walnut" in quoted["handle"]
    assert {**said, "handle": "", "mass": "", "balance": ""} == {
        **quoted, "handle": "", "mass": "", "balance": ""
    }  # fmt: skip


def test_option_without_a_ferrule_has_none(owner_client):
    choices = [("Bare", {"ferrule": ""}), ("Brass", {"ferrule": "brass"})]
    order = said_yes(owner_client, options=choices, option=2)
    (said,) = knives_as_agreed(order, "metric").values()
    assert "ferrule" in frozen(order)[said["number"]]["fittings"]
    (one,) = agreed_knives(order).values()
    assert one.altered == ("ferrule" not in said["fittings"])


def test_agreed_changes_are_said_and_no_other_one(owner_client):
    order = said_yes(owner_client, "One", "Other")
    one, other = order.knives.order_by("pk")
    agree(one, length=0.183)
    agree(one, length=0.171, finish="satin")
    refused = made(Knife.objects.for_list().get(pk=other.pk), length=0.175)
    saving.answer_change(refused, accepted=False, how="told", at=moment())
    said, quoted = knives_as_agreed(order, "metric"), frozen(order)
    assert said[one.serial]["length"].startswith("171")
    assert said[one.serial]["finish"] == "satin"
    assert said[one.serial]["steel"] == quoted[one.serial]["steel"]
    assert said[other.serial] == quoted[other.serial]


def test_what_the_shop_altered_by_itself_was_not_agreed_on(owner_client):
    order = said_yes(owner_client)
    knife = order.knives.get()
    services.change_knife(knife, {"finish": "rough"})
    agree(knife, length=0.171)
    (said,) = knives_as_agreed(order, "metric").values()
    assert said["finish"] == ""
    assert said["length"].startswith("171")


def test_altered_knife_is_said_whole_in_the_language_spoken(owner_client):
    customer = CustomerFactory(language="de")
    order = said_yes(owner_client, order=OrderFactory(customer=customer))
    agree(order.knives.get(), length=0.171)
    said = {}
    for language in ("de", "en"):
        with translation.override(language):
            (said[language],) = knives_as_agreed(order, "metric").values()
    (quoted,) = frozen(order).values()
    assert said["de"]["steel"] == quoted["steel"] != said["en"]["steel"]
    assert "layers of" in said["en"]["steel"]


def test_knife_begun_again_is_said_by_its_own_billet_and_number(owner_client):
    order = said_yes(owner_client)
    lost = order.knives.get()
    services.move_knife(
        lost, "scrapped", gate_passed=False, reason="weld", by=None, at=moment()
    )
    new = KnifeFactory(order=order, hardness=61.0)
    said = knives_as_agreed(order, "metric")
    assert set(said) == {lost.serial, new.serial}
    assert said[new.serial]["number"] == new.serial
    assert said[new.serial]["hardness"].startswith("61")
    # No billet is planned for it yet: the steel is what was agreed on.
    assert said[new.serial]["steel"] == frozen(order)[lost.serial]["steel"] != ""
    services.assign_plan(new, Plan.objects.get())
    said = knives_as_agreed(Order.objects.get(pk=order.pk), "metric")
    assert "layers of" in said[new.serial]["steel"]


def test_order_accepted_without_a_quote_is_said_as_it_is_written():
    order = agreed_order(finish="satin")
    (said,) = knives_as_agreed(order, "metric").values()
    assert said["finish"] == "satin"
    assert "layers of" in said["steel"]


def test_knife_that_cannot_be_made_any_more_breaks_no_page(owner_client):
    order = said_yes(owner_client)
    knife = order.knives.get()
    agree(knife, length=0.171)
    row = order.changes.get()
    row.values["columns"]["length"] = 9.0
    row.save()
    assert knives_as_agreed(order, "metric") == frozen(order)
