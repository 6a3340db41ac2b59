"""An order's page, its changes and its end; the first page; customers."""

import datetime as dt

import pytest
from django.utils import timezone

from shop import services
from shop.models import Customer, Knife, Order
from shop.weeks import in_words, monday_of
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory, moment
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


def edited(client, order, **changes):
    page = client.get(f"{order.get_absolute_url()}edit/")
    data = {"wish": order.wish, "promised_week": "", "form_key": key_on(page)}
    data["version"] = page.context["version"]
    return client.post(f"{order.get_absolute_url()}edit/", data | changes)


def closed(client, order, act, **data):
    address = f"{order.get_absolute_url()}{act}/"
    page = client.get(address if act == "cancel" else order.get_absolute_url())
    return client.post(address, {"form_key": key_on(page)} | data)


# --- the page of one -----------------------------------------------------------------


def test_page_says_all_about_the_order(owner_client, owner):
    order = OrderFactory(wish="Thin, for onions.", promised_week=dt.date(2027, 3, 1))
    KnifeFactory(order=order, name="Onion knife")
    text = text_of(owner_client.get(order.get_absolute_url()))
    for said in (
        "Thin, for onions.", "Tilda Grauwacke", "Onion knife", "not started", "Enquiry",
        "week 9, Monday 1 March 2027 to Sunday 7 March 2027", "No billet yet",
        "Price and quote", "No quote has been issued", "Decline enquiry",
    ):  # fmt: skip
        assert said in text


def test_german_page_speaks_german_dates(owner_client, settings):
    services.save_shop(services.Shop(pk=1), {"language": "de"})
    order = OrderFactory(promised_week=dt.date(2027, 3, 1))
    assert "1. März 2027" in text_of(owner_client.get(order.get_absolute_url()))


def test_week_in_words():
    assert in_words(dt.date(2026, 12, 28)) == (
        "week 53, Monday 28 December 2026 to Sunday 3 January 2027"
    )


def test_order_is_changed(owner_client):
    order = OrderFactory()
    edited(owner_client, order, wish="New words", promised_week="2027-03-07")
    order.refresh_from_db()
    assert (order.wish, order.promised_week) == ("New words", dt.date(2027, 3, 1))


def test_second_of_two_savers_of_an_order_sees_both(owner_client):
    order = OrderFactory(wish="first")
    page = owner_client.get(f"{order.get_absolute_url()}edit/")
    mine = {
        "wish": "mine",
        "promised_week": "",
        "form_key": key_on(page),
        "version": "1",
    }
    edited(owner_client, order, wish="theirs")
    told = owner_client.post(f"{order.get_absolute_url()}edit/", mine)
    assert [(one.mine, one.theirs) for one in told.context["differences"]] == [
        ("mine", "theirs")
    ]
    assert "theirs" in text_of(told)
    order.refresh_from_db()
    assert order.wish == "theirs"
    mine["version"] = told.context["version"]
    owner_client.post(f"{order.get_absolute_url()}edit/", mine)
    order.refresh_from_db()
    assert order.wish == "mine"


def test_enquiry_is_declined_once(owner_client):
    order = OrderFactory(knives=1)
    closed(owner_client, order, "decline")
    order.refresh_from_db()
    assert order.state == "declined"
    page = owner_client.post(
        f"{order.get_absolute_url()}decline/", {"form_key": "k"}, follow=True
    )
    assert "An order cannot go from Declined to Declined" in text_of(page)


def test_cancelled_order_takes_its_knives_off_the_bench(owner_client):
    order = OrderFactory(knives=2, accepted=True)
    page = closed(owner_client, order, "cancel", reason=" ")
    assert "This box is empty" in errors_on(page, "reason")
    assert set(order.knives.values_list("stage", flat=True)) == {"forge"}
    closed(owner_client, order, "cancel", reason="moved abroad")
    order.refresh_from_db()
    assert order.state == "cancelled"
    assert set(order.knives.values_list("stage", flat=True)) == {"cancelled"}
    assert (
        text_of(owner_client.get(order.get_absolute_url())).count("moved abroad") == 2
    )


def test_order_with_a_knife_handed_over_ends_as_delivered(owner_client):
    order = OrderFactory(knives=2, accepted=True)
    Knife.objects.filter(pk=order.knives.first().pk).update(stage="delivered")
    services.cancel_order(order, reason="one is enough", by=None, at=moment())
    order.refresh_from_db()
    assert order.state == "delivered"
    assert set(order.knives.values_list("stage", flat=True)) == {
        "delivered",
        "cancelled",
    }


def test_closed_order_is_not_cancelled_again(owner_client):
    order = OrderFactory(knives=1)
    services.change_state(order, "declined")
    page = owner_client.post(
        f"{order.get_absolute_url()}cancel/", {"form_key": "k", "reason": "again"}
    )
    assert "An order cannot go from Declined to Cancelled" in text_of(page)


# --- the first page ------------------------------------------------------------------


def test_first_page_says_what_is_due_and_what_waits_on_whom(helper_client):
    monday = monday_of(timezone.localdate())
    week = dt.timedelta(days=7)
    names = {-1: "Late One", 0: "Now One", 1: "Next One", 2: "Far One"}
    for weeks, name in names.items():
        OrderFactory(
            knives=1,
            accepted=True,
            customer__name=name,
            promised_week=monday + weeks * week,
        )
    OrderFactory(knives=1, customer__name="Asking One")
    OrderFactory(knives=1, quoted=True, customer__name="Thinking One")
    text = text_of(helper_client.get("/"))
    order = [
        "New enquiry", "Due", "Overdue", "Late One", "This week", "Now One",
        "Next week", "Next One", "Waits on you", "Asking One",
        "Waits on the customer", "Thinking One",
        "At the bench", "The bar is enough.", "Far One",
    ]  # fmt: skip
    places = [text.index(said) for said in order[:-1]] + [text.rindex(order[-1])]
    assert places == sorted(places)
    assert text.count("Far One") == 1


def test_empty_shop_says_what_belongs_where(owner_client):
    text = text_of(owner_client.get("/"))
    for said in (
        "Nothing is due",
        "No enquiry is waiting",
        "No quote is waiting",
        "No knife is at",
    ):
        assert said in text


def test_long_lists_lead_to_the_table(owner_client):
    customer = CustomerFactory()
    for _place in range(9):
        OrderFactory(customer=customer)
    page = owner_client.get("/")
    assert "All enquiries" in text_of(page)
    assert "?state=enquiry" in page.content.decode()


# --- customers -----------------------------------------------------------------------


def customer_texts(client, customer):
    page = client.get(f"{customer.get_absolute_url()}edit/")
    form = page.context["form"]
    texts = {name: form[name].value() or "" for name in form.fields}
    return texts | {"form_key": key_on(page), "version": page.context["version"]}


def test_customer_is_changed_and_found_by_the_new_name(owner_client):
    order = OrderFactory(knives=1)
    data = customer_texts(owner_client, order.customer) | {"name": "Große Öfen"}
    answer = owner_client.post(f"{order.customer.get_absolute_url()}edit/", data)
    assert answer.status_code == 302
    assert order.number in text_of(owner_client.get("/orders/", {"q": "GROSSE öfen"}))
    assert "Große Öfen" in text_of(owner_client.get("/customers/", {"q": "grosse"}))


def test_second_of_two_savers_of_a_customer_sees_both(owner_client):
    customer = CustomerFactory()
    mine = customer_texts(owner_client, customer) | {"phone": "111"}
    theirs = customer_texts(owner_client, customer) | {"phone": "222"}
    address = f"{customer.get_absolute_url()}edit/"
    owner_client.post(address, theirs)
    told = owner_client.post(address, mine)
    assert [(one.mine, one.theirs) for one in told.context["differences"]] == [
        ("111", "222")
    ]
    assert Customer.objects.get().phone == "222"


@pytest.mark.parametrize("name", ["", " ", "\u200b", "x" * 81])
def test_customer_needs_a_name_that_shows(owner_client, name):
    page = owner_client.get("/customers/new/")
    data = {"name": name, "language": "en", "form_key": key_on(page)}
    answer = owner_client.post("/customers/new/", data)
    assert answer.status_code == 200
    assert errors_on(answer, "name")
    assert not Customer.objects.exists()


@pytest.mark.parametrize(
    "name",
    [
        "O'Dowd-Łęcki",
        "Ø",
        "Nguyễn Thị Hạnh",
        "Å" * 80,
        "Smith 🔪",
        "'; DROP TABLE x;--",
    ],
)
def test_names_of_all_kinds_are_kept_and_found(owner_client, name):
    page = owner_client.get("/customers/new/")
    data = {"name": name, "language": "de", "form_key": key_on(page)}
    for _time in range(2):
        owner_client.post("/customers/new/", data)
    customer = Customer.objects.get()
    assert customer.name == name
    assert name in text_of(owner_client.get(customer.get_absolute_url()))
    assert name in text_of(owner_client.get("/customers/", {"q": name.upper()}))


def test_customers_page_lists_the_orders(owner_client):
    order = OrderFactory(knives=1)
    text = text_of(owner_client.get(order.customer.get_absolute_url()))
    assert order.number in text
    assert "Enquiry: Test knife" in text
    assert Order.objects.get().customer == order.customer
