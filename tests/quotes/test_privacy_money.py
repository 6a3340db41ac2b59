"""Nobody is erased while money is open, unless each sum is ticked."""

from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.privacy.erasing import erase
from quotes.privacy.owing import money_between
from shop.models import Customer, Order, Payment
from shop.payments import DoubtfulError
from tests.factories import CustomerFactory
from tests.quotes.customers import NAME, whole_customer
from tests.quotes.test_privacy_page import WORD, erase_by_page, page_of
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


def owing(agreed):
    """A customer who has paid 90 of what was agreed."""
    customer = whole_customer()
    Order.objects.update(agreed=agreed and Decimal(agreed))
    return customer


@pytest.mark.parametrize(
    ("agreed", "said"),
    [("290.00", "the customer still owes €200.00"),
     ("60.00", "€30.00 is to be given back to the customer"),
     (None, "€90.00 is to be given back to the customer")],
)  # fmt: skip
def test_sum_is_said_and_asked_about_either_way(owner_client, agreed, said):
    customer = owing(agreed)
    (one,) = money_between(customer)
    page = owner_client.get(page_of(customer))
    assert f"Order {one.order.number}: {said}" in text_of(page)
    assert f"/orders/{one.order.number}/payments/" in page.content.decode()
    page = erase_by_page(owner_client, customer)
    assert said in errors_on(page, "erase-settled")
    assert Customer.objects.get(pk=customer.pk).name == NAME
    answer = erase_by_page(owner_client, customer, **{"erase-settled": one.mark})
    assert answer.status_code == 302
    assert Customer.objects.get(pk=customer.pk).erased


def test_money_of_an_order_declined_or_cancelled_counts_too(owner_client):
    for state in ("declined", "cancelled"):
        customer = whole_customer(state)
        Order.objects.filter(customer=customer).update(agreed=None)
        assert len(money_between(customer)) == 1


def test_nothing_is_asked_where_all_is_settled(owner_client):
    customer = whole_customer()
    assert money_between(customer) == []
    page = owner_client.get(page_of(customer))
    assert "erase-settled" not in page.content.decode()
    assert erase_by_page(owner_client, customer).status_code == 302


def test_payment_that_was_taken_back_or_paid_back_counts_as_it_is():
    customer = whole_customer()
    Payment.objects.update(taken_back=timezone.now())
    assert [one.balance for one in money_between(customer)] == [Decimal(90)]
    Payment.objects.update(taken_back=None, back=True)
    assert [one.balance for one in money_between(customer)] == [Decimal(180)]


def test_tick_stands_for_its_sum_only(owner_client):
    """Someone enters a payment while the page is open."""
    customer = owing("290.00")
    (seen,) = money_between(customer)
    Order.objects.update(agreed=Decimal("490.00"))
    page = erase_by_page(owner_client, customer, **{"erase-settled": seen.mark})
    assert "A sum has changed since" in errors_on(page, "erase-settled")
    assert "the customer still owes €400.00" in text_of(page)
    assert Customer.objects.get(pk=customer.pk).erased is None


def test_sum_that_changes_at_the_last_moment_is_not_passed_over():
    customer = owing("290.00")
    (seen,) = money_between(customer)
    for settled in ((), (seen.mark, "26-9999:5"), ("x",)):
        with pytest.raises(DoubtfulError):
            erase(customer, reason="asked", at=timezone.now(), settled=settled)
    Order.objects.update(agreed=Decimal("90.00"))
    with pytest.raises(DoubtfulError):
        erase(customer, reason="asked", at=timezone.now(), settled=[seen.mark])
    assert Customer.objects.get(pk=customer.pk).name == NAME


def test_every_order_has_its_own_tick(owner_client):
    customer = owing("290.00")
    whole_customer()
    Order.objects.update(customer=customer, agreed=Decimal("290.00"))
    first, second = money_between(customer)
    page = erase_by_page(owner_client, customer, **{"erase-settled": first.mark})
    said = errors_on(page, "erase-settled")
    assert second.order.number in said
    assert first.order.number not in said
    key = key_on(owner_client.get(page_of(CustomerFactory(name="Nobody"))))
    data = {"erase-password": WORD, "erase-reason": "asked", "form_key": key,
            "erase-settled": [first.mark, second.mark]}  # fmt: skip
    answer = owner_client.post(f"{page_of(customer)}erase/", data)
    assert answer.status_code == 302


def test_whoever_is_erased_already_is_asked_nothing_more():
    customer = owing("290.00")
    (one,) = money_between(customer)
    erase(customer, reason="asked", at=timezone.now(), settled=[one.mark])
    erase(customer, reason="asked", at=timezone.now())
