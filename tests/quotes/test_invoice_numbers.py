"""Numbers of invoices under two writers, on the server that has several."""

import pytest
from django.db import connection

from quotes.invoices.drafts import final_draft
from quotes.invoices.services import NumberTaken, next_number
from quotes.models import Invoice
from shop.models import Shop
from tests.quotes.invoicing import accepted, kept, ready_shop, today
from tests.quotes.test_two_writers import at_once

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        connection.vendor == "sqlite", reason="needs the server that .ci/run starts"
    ),
]


def final_of(order, number):
    shop = Shop.current()
    return lambda: kept(
        lambda: final_draft(order, shop, today(), None, today=today()), number
    )


def test_number_is_given_to_one_of_two_and_none_is_left_out():
    ready_shop()
    orders = [accepted() for _place in range(2)]
    number = next_number(today())
    ends = at_once(*(final_of(order, number) for order in orders))
    assert sorted(type(one).__name__ for one in ends) == ["NoneType", "NumberTaken"]
    late = orders[[isinstance(one, NumberTaken) for one in ends].index(True)]
    final_of(late, next_number(today()))()
    numbers = list(Invoice.objects.order_by("pk").values_list("number", flat=True))
    assert numbers == [f"{today():%Y}-0001", f"{today():%Y}-0002"]


def test_number_of_an_act_that_failed_is_given_again():
    ready_shop()
    order = accepted()

    def fails():
        final_of(order, next_number(today()))()
        raise ValueError("after the invoice")

    (end,) = at_once(fails)
    assert str(end) == "after the invoice"
    assert next_number(today()) == f"{today():%Y}-0001"
