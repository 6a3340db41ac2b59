"""The shop's settings and its taxes, kept to the owner."""

import datetime as dt
from decimal import Decimal

import pytest

from shop.choices import UNTAXED
from shop.models import Shop, TaxSetting
from tests.factories import OrderFactory
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


def texts(client):
    page = client.get("/shop/")
    form = page.context["form"]
    found = {name: form[name].value() or "" for name in form.fields}
    return found | {"form_key": key_on(page), "version": page.context["version"]}


def tax(client, **changes):
    data = {"regime": "standard", "rate": "19", "valid_from": "2026-01-01", "note": ""}
    return client.post(
        "/shop/tax/", data | {"form_key": key_on(client.get("/shop/"))} | changes
    )


def test_settings_are_saved_before_and_after_the_first_time(owner_client):
    owner_client.post("/shop/", texts(owner_client) | {"name": "Weirside Forge"})
    assert Shop.current().name == "Weirside Forge"
    owner_client.post(
        "/shop/", texts(owner_client) | {"units": "inch", "language": "de"}
    )
    shop = Shop.current()
    assert (shop.name, shop.units, shop.language) == ("Weirside Forge", "inch", "de")
    assert Shop.objects.count() == 1


def test_pages_follow_the_shops_units(owner_client):
    order = OrderFactory(knives=1)
    owner_client.post("/shop/", texts(owner_client) | {"units": "inch"})
    text = text_of(owner_client.get(order.knives.get().get_absolute_url()))
    assert "Blade, heel to tip: 6.42 in." in text  # what the drawing says aloud
    assert "6.42 mm" not in text
    assert " oz" in text
    assert "Sizes in inches" in text


def test_second_of_two_savers_of_the_settings_sees_both(owner_client):
    owner_client.post("/shop/", texts(owner_client))
    mine = texts(owner_client) | {"owner": "Me"}
    owner_client.post("/shop/", texts(owner_client) | {"owner": "You"})
    told = owner_client.post("/shop/", mine)
    assert [(one.mine, one.theirs) for one in told.context["differences"]] == [
        ("Me", "You")
    ]
    assert Shop.current().owner == "You"


@pytest.mark.parametrize(
    ("changes", "box", "said"),
    [
        ({"name": ""}, "name", "This box is empty"),
        ({"name": "n" * 81}, "name", "at most 80"),
        ({"validity_days": "0"}, "validity_days", "1 or more"),
        ({"validity_days": "1.5"}, "validity_days", "no whole number"),
        ({"validity_days": "1e3"}, "validity_days", "cannot be read"),
        ({"currency": "XYZ"}, "currency", "Choose one of the list."),
        ({"email": "nobody"}, "email", "name@example.org"),
        ({"extinguisher": "t" * 81}, "extinguisher", "at most 80"),
    ],
)
def test_what_is_wrong_is_said_beside_its_box(owner_client, changes, box, said):
    page = owner_client.post("/shop/", texts(owner_client) | changes)
    assert said in errors_on(page, box)
    assert page.context["form"][box].value() == changes[box]
    assert not any(words in page.content.decode() for words in STOCK_WORDS)
    assert not Shop.objects.exists()


def test_tax_holds_from_its_day_on(owner_client):
    assert "no quote can be issued" in text_of(owner_client.get("/shop/"))
    assert tax(owner_client, rate="8,1 %", valid_from="1.1.2026").status_code == 302
    setting = TaxSetting.objects.get()
    assert (setting.rate, setting.valid_from) == (Decimal("8.10"), dt.date(2026, 1, 1))
    assert "8.10 %, since 1 Jan 2026" in text_of(owner_client.get("/shop/"))


@pytest.mark.parametrize(
    ("changes", "box", "said"),
    [
        ({"rate": "101"}, "rate", "100.00 or less"),
        ({"rate": "-1"}, "rate", "0"),
        ({"rate": "19.123"}, "rate", "more than 2 places"),
        ({"rate": ""}, "rate", "Type a value"),
        ({"rate": "7", "regime": "small"}, "rate", "No tax is charged"),
        ({"regime": "none"}, "regime", "Choose one of the list."),
        ({"valid_from": "0001-01-01"}, "valid_from", "Type a date from"),
        ({"valid_from": ""}, "valid_from", "Type a date here"),
    ],
)
def test_tax_that_cannot_be_is_said_beside_its_box(owner_client, changes, box, said):
    page = tax(owner_client, **changes)
    assert said in errors_on(page, box)
    assert not any(words in page.content.decode() for words in STOCK_WORDS)
    assert not TaxSetting.objects.exists()


@pytest.mark.parametrize("regime", UNTAXED)
def test_empty_rate_is_nought_where_no_tax_is_charged(owner_client, regime):
    assert tax(owner_client, regime=regime, rate="").status_code == 302
    assert TaxSetting.objects.get().rate == 0


def test_explanation_of_a_tick_stands_behind_its_box(owner_client):
    page = owner_client.get("/shop/").content.decode()
    box, hint = page.index('id="id_deposit_locks"'), page.index("If ticked, no knife")
    assert box < hint
