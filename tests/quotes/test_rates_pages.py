"""The page of rates: changed from a day on, never over what was."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.rate_items import RATE_ITEMS
from shop.models import Rate, Shop
from tests.factories import SteelFactory
from tests.quotes.orders import LONG_AGO, ready_shop, table_rows
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db
URL = "/shop/rates/"


@pytest.fixture(autouse=True)
def shop():
    SteelFactory()
    SteelFactory(pale=True)
    ready_shop()


def boxes(page):
    """What a browser would send back untouched."""
    form = page.context["form"]
    sent = {name: form[name].value() for name in form.fields}
    shown = {
        name: form.fields[name].prepare_value(value) for name, value in sent.items()
    }
    return {
        **{name: "" if value is None else value for name, value in shown.items()},
        "form_key": page.context["form_key"],
        "seen": page.context["seen"],
    }


def save(client, **changes):
    return client.post(URL, boxes(client.get(URL)) | changes)


def count():
    return Rate.objects.count()


# --- what it shows -----------------------------------------------------------------


def test_every_rate_has_a_box_with_what_holds_since_when(owner_client):
    page = owner_client.get(URL)
    form = page.context["form"]
    assert {item.key for item in RATE_ITEMS} < set(form.fields)
    assert {"steel.dark", "handle.walnut", "ferrule.horn"} < set(form.fields)
    assert form.fields["labour"].help_text == "€50.00 since 1 Mar 2021."
    assert form.fields["margin"].help_text == "15\u00a0% since 1 Mar 2021."
    assert form.fields["restart_finish"].help_text == "Finish since 1 Mar 2021."
    assert "Bench work, € per hour" in text_of(page)


def test_value_to_come_is_told(owner_client):
    Rate.objects.create(
        key="gas", value=Decimal("3.95"), valid_from=dt.date(2031, 2, 1)
    )
    hint = owner_client.get(URL).context["form"].fields["gas"].help_text
    assert hint == "€3.20 since 1 Mar 2021. €3.95 from 1 Feb 2031."


def test_steel_without_a_price_says_so(owner_client):
    Rate.objects.filter(key="steel.pale").delete()
    form = owner_client.get(URL).context["form"]
    assert form.fields["steel.pale"].help_text == "Nothing is entered yet."
    assert form.fields["steel.pale"].required is False


def test_money_has_its_cents_and_other_numbers_no_idle_zeros(owner_client):
    page = owner_client.get(URL)
    shown = boxes(page)
    assert (shown["labour"], shown["price_wax"], shown["price_epoxy"]) == (
        "50.00", "0.05", "0.15"
    )  # fmt: skip
    assert (shown["use_coarse"], shown["use_borax"], shown["margin"]) == (
        "250", "0.06", "15"
    )  # fmt: skip


# --- saving ------------------------------------------------------------------------


def test_saving_an_untouched_page_changes_nothing(owner_client):
    before = list(Rate.objects.values())
    answer = save(owner_client)
    assert answer.status_code == 302
    assert list(Rate.objects.values()) == before
    assert "Nothing was changed." in text_of(owner_client.get(URL))


def test_changed_value_is_a_new_row_and_the_old_one_stays(owner_client):
    day = timezone.localdate() - dt.timedelta(days=2)
    answer = save(owner_client, labour="58,50", valid_from=day.isoformat(), note="Rent")
    assert answer.status_code == 302
    rows = Rate.objects.filter(key="labour").order_by("valid_from")
    assert [(row.value, row.valid_from) for row in rows] == [
        (Decimal(50), LONG_AGO), (Decimal("58.5"), day)
    ]  # fmt: skip
    assert rows[1].note == "Rent"
    page = owner_client.get(URL)
    assert "1 rate is changed." in text_of(page)
    history = [row for row in table_rows(page) if row[0] == "Bench work"]
    assert [row[1] for row in history] == ["€58.50", "€50.00"]


def test_value_for_later_does_not_hold_yet(owner_client):
    later = timezone.localdate() + dt.timedelta(days=40)
    save(owner_client, gas="4.10", valid_from=later.isoformat())
    today = Rate.objects.on(timezone.localdate())
    assert today["gas"].value == Decimal("3.2")
    assert Rate.objects.on(later)["gas"].value == Decimal("4.1")


def test_price_of_a_steel_that_had_none_can_be_entered(owner_client):
    Rate.objects.filter(key="steel.pale").delete()
    save(owner_client, **{"steel.pale": "12.40"})
    assert Rate.objects.get(key="steel.pale").value == Decimal("12.4")


def test_second_change_of_a_day_takes_the_place_of_the_first(owner_client):
    save(owner_client, labour="51")
    save(owner_client, labour="52")
    today = Rate.objects.filter(key="labour", valid_from=timezone.localdate())
    assert [row.value for row in today] == [Decimal(52)]


def test_restart_of_a_stage_is_chosen_from_a_list(owner_client):
    save(owner_client, restart_finish="2")
    assert Rate.objects.on(timezone.localdate())["restart_finish"].value == 2


def test_form_sent_twice_changes_once(owner_client):
    data = boxes(owner_client.get(URL)) | {"labour": "61"}
    first, second = (owner_client.post(URL, data) for _time in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert Rate.objects.filter(key="labour").count() == 2


# --- refusals ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("margin", "100", "Margin must stay below 100 %, or there is no price"),
        ("margin", "much", "much"),
        ("labour", "", "Type a value here"),
        ("labour", "-4", "or more."),
        ("labour", "1,500", "can be read two ways"),
        ("labour", "50.00001", "type at most 4."),
        ("labour", "99999999999", "or less."),
        ("deposit", "130", "must not be above 100 %"),
        ("success_grind", "0", "must be above zero."),
        ("use_coarse", "0", "must be above zero."),
        ("hours_grind_least", "99", "must rise from least over likely to most"),
        ("restart_grind", "5", "Choose one of the list."),
        ("valid_from", "some day", "is no day of the calendar"),
    ],
)
def test_value_no_price_can_be_made_with_is_refused_beside_its_box(
    owner_client, key, typed, said
):
    before = count()
    page = save(owner_client, **{key: typed})
    assert page.status_code == 200
    assert said in text_of(page)
    assert count() == before
    if key != "restart_grind" and typed:
        assert f'value="{typed}"' in page.content.decode()


def test_day_before_a_later_change_is_refused(owner_client):
    Rate.objects.create(
        key="gas", value=Decimal("3.95"), valid_from=dt.date(2031, 2, 1)
    )
    before = count()
    page = save(owner_client, gas="3.50")
    assert "This changes on 1 February 2031 already" in text_of(page)
    assert count() == before


def test_second_of_two_who_change_rates_is_told(owner_client):
    data = boxes(owner_client.get(URL)) | {"margin": "21"}
    Rate.objects.create(
        key="labour", value=Decimal(59), valid_from=timezone.localdate()
    )
    page = owner_client.post(URL, data)
    assert "Somebody else has changed a rate" in text_of(page)
    assert not Rate.objects.filter(key="margin", value=21).exists()
    assert page.context["form"].fields["labour"].help_text.startswith("€59.00 since")
    again = data | {"seen": page.context["seen"], "labour": "59.00"}
    assert owner_client.post(URL, again).status_code == 302
    assert Rate.objects.filter(key="margin", value=21).exists()


def test_helper_sees_no_rates(helper_client):
    assert helper_client.get(URL).status_code == 403
    assert helper_client.post(URL, {"labour": "1"}).status_code == 403


def test_rates_are_read_and_shown_in_the_language_of_the_shop(owner_client):
    Shop.objects.filter(pk=1).update(language="de")
    assert 'name="labour" value="50,00"' in owner_client.get(URL).content.decode()
    save(owner_client, price_epoxy="0,175")
    assert Rate.objects.on(timezone.localdate())["price_epoxy"].value == Decimal(
        "0.175"
    )


def test_number_of_queries_does_not_grow_with_the_book(
    owner_client, django_assert_max_num_queries
):
    with django_assert_max_num_queries(14):
        owner_client.get(URL)
