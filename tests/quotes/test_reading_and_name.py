"""What a quote asks for first: who it is for, and how amounts were meant."""

import pytest

from quotes.gaps import lacking_terms
from quotes.models import QuoteDraft
from shop import services
from shop.models import Customer
from tests.quotes.orders import drafted, hidden, ready_order, ready_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    ready_shop()
    made = ready_order()
    drafted(made)
    return made


def fields_lacking(order):
    return [gap.error.field for gap in lacking_terms(order, QuoteDraft.objects.get())]


def test_amounts_typed_for_another_reading_are_asked_about(order):
    QuoteDraft.objects.update(mode="gross")
    assert fields_lacking(order) == []
    order.customer.business, order.customer.address = True, "Quay 9"
    assert fields_lacking(order) == ["mode"]
    QuoteDraft.objects.update(mode="net")
    assert fields_lacking(order) == []


def test_caller_without_a_name_gets_no_quote_until_named(order):
    Customer.objects.update(unnamed=True)
    order.customer.refresh_from_db()
    assert fields_lacking(order) == ["name"]
    services.save_customer({"phone": "0123"}, customer=order.customer)
    assert fields_lacking(order) == ["name"]
    services.save_customer({"name": "Ottilie Wendt"}, customer=order.customer)
    assert fields_lacking(order) == []


def test_naming_a_caller_on_the_page_lets_the_quote_go_out(order, owner_client):
    Customer.objects.update(unnamed=True)
    address = f"{order.customer.get_absolute_url()}edit/"
    page = owner_client.get(address)
    texts = {
        box.html_name: box.value() or "" for box in page.context["form"]
        if box.html_name != "business"
    }  # fmt: skip
    sent = texts | {"form_key": hidden(page, "form_key"), "name": "Ottilie Wendt",
                    "version": hidden(page, "version")}  # fmt: skip
    assert owner_client.post(address, sent).status_code == 302
    assert not Customer.objects.get().unnamed


def test_quote_that_sends_a_knife_needs_to_know_where(order):
    QuoteDraft.objects.get().extras.create(position=1, key="shipping", amount=15)
    assert fields_lacking(order) == ["address"]
    order.customer.address = "Quay 9"
    assert fields_lacking(order) == []
