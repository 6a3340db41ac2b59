"""Whether a customer buys for a business, and so reads prices before tax."""

import pytest

from quotes.invoices.particulars import buyer_of
from quotes.terms.offering import mode_of
from shop.models import Customer, Order
from tests.factories import CustomerFactory, OrderFactory
from tests.shop.typing_in import enquiry, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

BOXES = {
    "name": "Brun Ødegaard", "email": "", "phone": "", "address": "", "language": "en",
    "note": "",
}  # fmt: skip


def edit(client, customer, **changes):
    page = client.get(f"/customers/{customer.pk}/edit/")
    keys = {"form_key": key_on(page), "version": page.context["version"]}
    return client.post(f"/customers/{customer.pk}/edit/", BOXES | keys | changes)


@pytest.mark.parametrize(
    ("ticked", "business", "said"),
    [
        ({"business": "on"}, True, "Reads prices before tax: buys for a business"),
        ({}, False, "Reads prices with tax in them"),
    ],
)
def test_new_customer_reads_prices_as_ticked(helper_client, ticked, business, said):
    page = helper_client.get("/customers/new/")
    assert "Buys for a business: reads prices before tax" in text_of(page)
    key = {"form_key": key_on(page)}
    answer = helper_client.post("/customers/new/", BOXES | key | ticked)
    assert Customer.objects.get().business is business
    assert said in text_of(helper_client.get(answer.url))


def test_tick_is_set_and_taken_away(helper_client):
    customer = CustomerFactory()
    edit(helper_client, customer, business="on")
    customer.refresh_from_db()
    assert customer.business is True
    page = helper_client.get(f"/customers/{customer.pk}/edit/").content.decode()
    assert 'name="business"' in page
    assert " checked" in page
    edit(helper_client, customer)
    customer.refresh_from_db()
    assert customer.business is False


def test_second_of_two_savers_reads_yes_and_no(helper_client):
    customer = CustomerFactory(name=BOXES["name"])
    edit(helper_client, customer, business="on")
    told = edit(helper_client, customer, version="1")
    assert [(one.mine, one.theirs) for one in told.context["differences"]] == [
        ("no", "yes")
    ]
    customer.refresh_from_db()
    assert customer.business is True


def test_customer_of_a_new_enquiry_can_be_a_business(helper_client):
    assert enquiry(helper_client, business="on").status_code == 302
    assert Customer.objects.get().business is True
    assert mode_of(Order.objects.get()) == "net"


def test_customer_of_a_new_enquiry_is_none_unless_ticked(helper_client):
    enquiry(helper_client)
    assert Customer.objects.get().business is False


@pytest.mark.parametrize(("business", "mode"), [(True, "net"), (False, "gross")])
def test_business_reads_amounts_before_tax(business, mode):
    order = OrderFactory(customer=CustomerFactory(business=business))
    assert mode_of(order) == mode


# --- country and VAT number -------------------------------------------------------

VAT = "DE136695976"
"""A number of python-stdnum's own documentation."""


def test_customer_has_a_country_and_a_vat_number(helper_client):
    customer = CustomerFactory()
    typed = {"country": "de", "vat_number": "de 136 695 976", "business": "on"}
    page = edit(helper_client, customer, **typed)
    customer.refresh_from_db()
    assert (customer.country, customer.vat_number) == ("DE", VAT)
    assert f"VAT number {VAT}" in text_of(helper_client.get(page.url))
    invoiced = buyer_of(customer)
    assert (invoiced["country"], invoiced["vat_number"]) == ("DE", VAT)


@pytest.mark.parametrize(
    ("box", "typed", "said"),
    [("vat_number", "DE136695977", "The check digit of this VAT number is wrong"),
     ("vat_number", "12345", "Begin with the letters of the country"),
     ("country", "Germany", "Type the two letters of a country"),
     ("country", "QQ", "Type the two letters of a country")],
)  # fmt: skip
@pytest.mark.parametrize("page", ["customer", "enquiry"])
def test_slip_in_a_number_is_said_beside_its_box(helper_client, page, box, typed, said):
    if page == "enquiry":
        told = enquiry(helper_client, **{box: typed})
        assert not Customer.objects.exists()
    else:
        told = edit(helper_client, CustomerFactory(), **{box: typed})
    assert said in errors_on(told, box)
    assert f'value="{typed}"' in told.content.decode()


def test_customer_of_a_new_enquiry_has_both(helper_client):
    enquiry(helper_client, business="on", country="at", vat_number="ATU13585627")
    customer = Customer.objects.get()
    assert (customer.country, customer.vat_number) == ("AT", "ATU13585627")
