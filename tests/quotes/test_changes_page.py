"""The pages of a change after the yes, its note, and the page that cancels an order."""

import datetime as dt
from decimal import Decimal

import pytest

from quotes.services import Printed, keep_sheet
from quotes.sheets.sheet import sheet_of
from shop import services
from shop.models import AgreedChange, Order, Shop
from tests.factories import moment
from tests.quotes.changes import (
    agreed_order,
    at_stage,
    knife_of,
    made,
    notes_kept,
    paid,
    typed,
)
from tests.quotes.orders import address, number_in, ready_order, table_rows
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def notes(monkeypatch):
    """A shop with its rates; notes are pages only, and kept here as they were made."""
    lay_in()
    return notes_kept(monkeypatch)


def answered(client, change, said, how="on the telephone"):
    where = address("change", change.order, change.pk)
    data = {"form_key": key_on(client.get(where)), "answer": said, "how": how}
    return client.post(where, data)


def amounts(page):
    rows = dict(row for row in table_rows(page) if len(row) == 2)
    return {label: number_in(text) for label, text in rows.items() if "€" in text}


# --- making one --------------------------------------------------------------------


def test_page_says_what_is_possible_before_anything_is_typed(owner_client):
    order = agreed_order()
    at_stage(knife_of(order), "harden")
    text = text_of(owner_client.get(address("change-new", order)))
    assert "Gates passed: Forge" in text
    assert "Only smaller, the blade is ground: up to 163 mm long, 46 mm high" in text
    assert "Not any more: the blade is forged" in text
    assert "Free as long as the blade is not tempered" in text
    assert "Free: the handle is not begun" in text


def test_try_shows_price_fee_steel_and_week_and_keeps_nothing(owner_client):
    order = agreed_order(promised_week=dt.date(2026, 4, 6))
    page = typed(owner_client, order, length="183", cut="yes", new_week="2026-05-06")
    sums = amounts(page)
    assert sums["To be paid in all"] == (
        1000 + sums["For what is changed"] + sums["Fee for the change"]
    )
    text = text_of(page)
    assert "Enough with a chance of" in text
    assert "the rates in force on" in text
    assert "Monday 4 May 2026" in text
    assert "163 mm ± 2.5 mm 183 mm ± 2.5 mm" in text
    assert "50 % of" in text
    assert not AgreedChange.objects.exists()


def test_change_is_kept_only_as_it_was_looked_at(owner_client):
    order = agreed_order()
    seen = typed(owner_client, order, length="183")
    content = seen.context["content"]
    page = typed(owner_client, order, "save", length="185", content=content)
    assert "not the ones you have looked at" in text_of(page)
    assert 'value="185"' in page.content.decode()
    assert typed(owner_client, order, "save", length="183").status_code == 200
    assert not AgreedChange.objects.exists()
    kept = typed(owner_client, order, "save", length="183", content=content)
    assert kept.status_code == 302
    assert AgreedChange.objects.get().values["columns"] == {"length": 0.183}


def test_same_form_sent_twice_makes_one_change(owner_client):
    order = agreed_order()
    seen = typed(owner_client, order, length="183")
    data = {"content": seen.context["content"], "form_key": key_on(seen)}
    first = typed(owner_client, order, "save", length="183", **data)
    where = address("change-new", order)
    again = owner_client.post(where, {"form_key": data["form_key"], "save": "1"})
    assert first.status_code == 302
    assert again.status_code == 409  # other content under the same key
    assert AgreedChange.objects.count() == 1


def test_impossible_change_is_refused_beside_its_box_with_the_way_out(owner_client):
    order = agreed_order()
    at_stage(knife_of(order), "grind")
    page = typed(
        owner_client, order, "save", length="190", height="46", forging="taper"
    )
    assert "gives a blade of up to 165 mm" in errors_on(page, "length")
    assert "can only be forged anew" in errors_on(page, "length")
    assert "the blade is forged" in errors_on(page, "forging")
    assert 'value="190"' in page.content.decode()
    assert not AgreedChange.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"length": "1,500", "fee": "-5", "new_week": "31 February", "wish": ""},
        {"length": "wide", "fee": "1.234.5", "cut": "perhaps", "wish": "x" * 4001},
        {"hardness": "90", "total": "99999999999", "fee": "much", "cut": ""},
    ],
)
def test_bad_input_is_told_beside_its_box_and_stays(owner_client, wrong):
    page = typed(owner_client, agreed_order(), "save", **{"length": "183", **wrong})
    text = text_of(page)
    for box, typing in wrong.items():
        assert errors_on(page, box), box
        assert page.context["form"][box].value() == typing
    assert not any(word in text for word in STOCK_WORDS)
    assert not AgreedChange.objects.exists()


def test_nothing_changed_is_asked_about(owner_client):
    page = typed(owner_client, agreed_order())
    assert "Nothing of the knife is changed yet" in errors_on(page, "wish")


def test_knife_saved_by_somebody_else_shows_both(owner_client):
    order = agreed_order()
    where = address("change-new", order)
    version = owner_client.get(where).context["version"]
    services.change_knife(knife_of(order), {"handle_length": 0.12})
    page = typed(owner_client, order, "save", version=version, length="183")
    text = text_of(page)
    assert "Somebody else saved this while you were typing" in text
    assert "128 mm 120 mm" in text
    assert not AgreedChange.objects.exists()


def test_several_knives_are_chosen_from(owner_client):
    order = agreed_order("One", "Other")
    page = owner_client.get(address("change-new", order))
    other = knife_of(order, 1)
    assert "Which knife" in text_of(page)
    assert f"?knife={other.serial}" in page.content.decode()
    page = owner_client.get(address("change-new", order) + f"?knife={other.serial}")
    assert page.context["knife"] == other


def test_second_change_is_led_to_the_one_that_waits(owner_client):
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    page = owner_client.get(address("change-new", order))
    assert "is not answered yet" in text_of(page)
    assert address("change", order, change.pk) in page.content.decode()
    posted = owner_client.post(address("change-new", order), {"form_key": "k"})
    assert posted.status_code == 409


@pytest.mark.parametrize(
    ("state", "said"),
    [("enquiry", "is not accepted"), ("cancelled", "is closed")],
)
def test_order_that_cannot_be_changed_says_why(owner_client, state, said):
    order = ready_order()
    Order.objects.filter(pk=order.pk).update(state=state)
    assert said in text_of(owner_client.get(address("change-new", order)))


def test_order_without_an_agreed_price_or_a_billet_says_what_is_missing(owner_client):
    order = agreed_order()
    Order.objects.filter(pk=order.pk).update(agreed=None)
    page = owner_client.get(address("change-new", order))
    assert "accepted without a quote" in text_of(page)
    Order.objects.filter(pk=order.pk).update(agreed=Decimal(1000))
    services.assign_plan(knife_of(order), None)
    page = typed(owner_client, order, length="183")
    assert "has no billet yet" in text_of(page)


def test_shop_that_prices_in_another_currency_now_adds_nothing_up(owner_client):
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    Shop.objects.update(currency="GBP")
    text = text_of(owner_client.get(address("change", order, change.pk)))
    assert "€1,000.00" in text


# --- the answer --------------------------------------------------------------------


def test_yes_by_the_page_changes_the_knife_and_shows_the_new_total(owner_client):
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    assert answered(owner_client, change, "yes").status_code == 302
    page = owner_client.get(address("change", order, change.pk))
    assert "Agreed. on the telephone" in text_of(page)
    assert "What the customer said" not in text_of(page)
    order.refresh_from_db()
    assert order.agreed > 1000
    listed = text_of(owner_client.get(order.get_absolute_url()))
    assert "Change 1:" in listed


def test_no_by_the_page_and_a_second_answer_are_told(owner_client):
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    page = owner_client.get(address("change", order, change.pk))
    answered(owner_client, change, "no", "by mail")
    data = {"form_key": key_on(page) + "x", "answer": "yes", "how": "after all"}
    late = owner_client.post(address("change", order, change.pk), data)
    assert "The no to this change is written down already" in text_of(late)
    assert knife_of(order).length == 0.163


def test_answer_with_nothing_in_it_is_asked_back(owner_client):
    change = made(knife_of(agreed_order()), length=0.183)
    page = answered(owner_client, change, "", "")
    assert "Choose what the customer said" in text_of(page)
    assert "This box is empty" in errors_on(page, "how")


@pytest.mark.parametrize(
    "values",
    [
        {"length": 0.183}, {"hardness": 62.0}, {"handle_material": "beech"},
        {"finish": "polished spine"}, {"edge_angle": 0.2},
    ],
    ids=lambda one: next(iter(one)),
)  # fmt: skip
def test_yes_voids_the_build_sheet_that_hangs_at_the_bench(owner_client, values):
    order = agreed_order()
    knife = knife_of(order)
    content = sheet_of(knife, Shop.current()).content
    printed = Printed(body=b"sheet", media="pdf")
    keep_sheet(knife, content, printed, 1, by=None, at=moment())
    sheet = address_of_sheet(knife)
    change = made(knife, **values)
    assert "Nothing has changed since revision A" in text_of(owner_client.get(sheet))
    answered(owner_client, change, "yes")
    text = text_of(owner_client.get(sheet))
    assert "this prints revision B, which voids it. Take the old sheet down" in text
    page = owner_client.get(address("change", order, change.pk))
    assert "Build sheet A is void: take it down" in text_of(page)


def address_of_sheet(knife):
    return f"{knife.get_absolute_url()}sheet/"


def test_helpers_see_no_change_and_no_sum(helper_client):
    order = agreed_order()
    change = made(knife_of(order), length=0.183)
    for name, more in (("change-new", ()), ("change", (change.pk,))):
        assert helper_client.get(address(name, order, *more)).status_code == 403
    text = text_of(helper_client.get(order.get_absolute_url()))
    assert "Change 1:" not in text
    assert "€" not in text_of(helper_client.get(address("order-cancel", order)))


# --- cancelling --------------------------------------------------------------------


def test_page_shows_both_rungs_and_which_one_stands(owner_client):
    order = agreed_order()
    paid(order, 300)
    page = owner_client.get(address("order-cancel", order))
    rows = [row for row in table_rows(page) if "steel is cut" in row[0]]
    assert [[number_in(text) for text in row[1:]] for row in rows] == [
        [15, 150, 150, 0], [50, 500, 0, 200],
    ]  # fmt: skip
    assert "(so it stands)" in rows[0][0]
    assert page.context["form"].initial["cut"] == "no"
    at_stage(knife_of(order), "grind")
    page = owner_client.get(address("order-cancel", order))
    assert page.context["form"].initial["cut"] == "yes"


def test_cancelling_keeps_the_sum_with_the_reason(owner_client):
    order = agreed_order()
    paid(order, 300)
    where = address("order-cancel", order)
    data = {"form_key": key_on(owner_client.get(where)), "cut": "no"}
    page = owner_client.post(where, {**data, "reason": " "})
    assert "This box is empty" in errors_on(page, "reason")
    assert Order.objects.get().state == "accepted"
    done = owner_client.post(where, {**data, "reason": "moved"}, follow=True)
    text = text_of(done)
    assert "Paid €300.00; kept €150.00; to be returned: €150.00." in text
    assert "€150.00 is kept, by the ladder" in text
    assert "Cancelled. Paid €300.00" in text_of(owner_client.get(where))
    assert AgreedChange.objects.get().wish == "moved"


def test_helper_cancels_nothing_that_was_agreed_and_reads_no_sum(helper_client):
    order = agreed_order()
    page = helper_client.get(address("order-cancel", order))
    assert "whoever may see prices does that" in text_of(page)
    assert "€" not in text_of(page)
    data = {"form_key": "k", "cut": "yes", "reason": "no"}
    assert helper_client.post(address("order-cancel", order), data).status_code == 403
    assert not AgreedChange.objects.exists()
