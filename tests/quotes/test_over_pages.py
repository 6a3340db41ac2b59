"""Pages of orders that are over: of erased customers, cancelled, paid too much."""

from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.changes_after import saving
from quotes.privacy.erasing import erase
from quotes.privacy.owing import money_between
from shop import owing, payments
from shop.models import AgreedChange, Order
from shop.stages import StageError
from tests.factories import moment
from tests.quotes.changes import agreed_order, paid
from tests.quotes.customers import whole_customer
from tests.quotes.orders import (
    answer,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.paying import bought, pay
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def erased(state):
    customer = whole_customer(state)
    order = Order.objects.get(customer=customer)
    change = AgreedChange.objects.get()
    AgreedChange.objects.create(
        order=order, wish="gone away", values={"kept": "7"}, more=Decimal(-90),
        fee=Decimal(7), state="agreed", made_at=moment(), answered_at=moment(),
    )  # fmt: skip
    erase(
        customer, reason="asked", at=timezone.now(),
        settled={one.mark for one in money_between(customer)},
    )  # fmt: skip
    return order, change


PAGES = (
    "", "edit/", "price/", "terms/", "quotes/new/", "payments/", "invoices/",
    "links/", "cancel/", "changes/new/", "mail/progress/",
)  # fmt: skip


@pytest.mark.parametrize("state", ["delivered", "cancelled"])
def test_no_page_of_an_erased_customers_order_breaks(owner_client, state):
    order, change = erased(state)
    found = codes(owner_client, order, f"changes/{change.pk}/")
    assert found[f"{order.get_absolute_url()}changes/{change.pk}/"] == 200


def test_no_page_of_a_quoted_and_delivered_order_breaks_either(
    owner_client, monkeypatch
):
    without_printer(monkeypatch)
    order = ready_order("Test knife")
    answer(owner_client, issue(owner_client, order), "yes")
    order.knives.update(stage="delivered")
    Order.objects.filter(pk=order.pk).update(state="delivered")
    customer = order.customer
    erase(
        customer, reason="asked", at=timezone.now(),
        settled={one.mark for one in money_between(customer)},
    )  # fmt: skip
    found = codes(owner_client, order, "quotes/1/", "after/")
    assert found[f"{order.get_absolute_url()}quotes/1/"] == 200


def codes(client, order, *more):
    """Open every page of an order, its knife and customer; how each answered."""
    knife = order.knives.get()
    pages = [order.get_absolute_url() + one for one in (*PAGES, *more)]
    pages += [f"/knives/{knife.serial}/{one}" for one in ("", "sheet/", "work/")]
    pages += [f"/customers/{order.customer_id}/{one}" for one in ("", "data/")]
    found = {one: client.get(one).status_code for one in ["/", *pages]}
    assert {one for one, code in found.items() if code >= 500} == set()
    assert list(found.values()).count(200) > 8
    return found


def test_change_of_an_erased_customer_shows_its_sums(owner_client):
    order, change = erased("delivered")
    where = f"{order.get_absolute_url()}changes/{change.pk}/"
    text = text_of(owner_client.get(where))
    assert "The customer was erased." in text
    assert "€5.00" in text
    key = owner_client.get(where).context["form_key"]
    sent = {"answer": "yes", "how": "by telephone", "form_key": key}
    assert owner_client.post(where, sent).status_code == 200
    assert AgreedChange.objects.get(pk=change.pk).state == "open"
    assert f"Change {change.pk}:" in text_of(owner_client.get(order.get_absolute_url()))


def test_cancellation_of_an_erased_customer_says_what_was_kept(owner_client):
    order, _change = erased("cancelled")
    page = owner_client.get(f"{order.get_absolute_url()}cancel/")
    assert "€7.00 is kept" in text_of(page)


def test_question_of_an_erased_customer_is_off_the_first_page(owner_client):
    erased("delivered")
    assert "Asked, not answered" not in text_of(owner_client.get("/"))


# --- money that goes back ---------------------------------------------------------


def test_money_to_give_back_is_said_everywhere_until_it_is_sent(owner_client):
    """15 % of 1000 is kept before the steel is cut, and 300 were paid."""
    order = agreed_order()
    paid(order, 300)
    saving.cancel(order, "moved abroad", cut=False, by=None, at=moment())
    order = Order.objects.get(pk=order.pk)
    pages = ("/", order.get_absolute_url(), f"{order.get_absolute_url()}payments/")
    for where in pages:
        text = text_of(owner_client.get(where))
        assert "€150.00 goes back to the customer" in text, where
        assert "Paid in full" not in text
    pay(order, "150.00", back=True)
    for where in pages:
        assert "goes back to the customer" not in text_of(owner_client.get(where))
    assert "Paid in full." in text_of(owner_client.get(pages[1]))


def test_who_gets_money_back_is_found_to_the_smallest_coin(django_assert_num_queries):
    """0.1 + 0.1 + 0.1 is no 0.3 among floats (IEEE 754), and is paid all the same."""
    for state in ("accepted", "delivered", "cancelled"):
        order = bought("0.30", "0.10", tax="0.05")
        pay(order, "0.10")
        pay(order, "0.10", reference="second")
        pay(order, "0.10", reference="third")
        Order.objects.filter(pk=order.pk).update(state=state)
    assert owing.going_back() == []
    pay(order, "0.01", sure=True)
    with django_assert_num_queries(3):
        (back,) = owing.going_back()
    assert (back.order, back.what, back.amount) == (order, "back", Decimal("0.01"))


def test_first_page_of_a_helper_names_no_sum(helper_client):
    order = bought()
    pay(order, "1200.00", sure=True)
    assert "goes back" not in text_of(helper_client.get("/"))


# --- nothing to change any more ---------------------------------------------------


@pytest.mark.parametrize("state", ["delivered", "cancelled"])
def test_order_that_is_over_has_no_deposit_to_change(owner_client, state):
    order = bought()
    Order.objects.filter(pk=order.pk).update(state=state)
    page = owner_client.get(f"{order.get_absolute_url()}payments/")
    assert "Change the deposit" not in text_of(page)
    with pytest.raises(StageError, match="is over"):
        payments.change_deposit(order, Decimal(1), seen=order.deposit_due)


@pytest.mark.parametrize(
    ("state", "said"),
    [("delivered", "is handed over: nothing is left to cancel"),
     ("declined", "was declined"), ("cancelled", "is cancelled already")],
)  # fmt: skip
def test_cancel_page_says_why_nothing_can_be_cancelled(owner_client, state, said):
    order = bought()
    Order.objects.filter(pk=order.pk).update(state=state)
    page = owner_client.get(f"{order.get_absolute_url()}cancel/")
    assert said in text_of(page)
