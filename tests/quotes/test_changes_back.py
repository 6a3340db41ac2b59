"""A change that leaves less to pay than was paid, and amounts that cannot be."""

import pytest

from shop.models import AgreedChange, Order
from tests.quotes.changes import agreed_order, notes_kept, paid, typed
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def notes(monkeypatch):
    """A shop with its rates; notes are pages only, and kept here as they were made."""
    lay_in()
    return notes_kept(monkeypatch)


def test_change_below_what_was_paid_says_what_goes_back(owner_client, notes):
    order = agreed_order()
    paid(order, 900)
    seen = typed(owner_client, order, length="150", total="700", fee="0")
    assert "€900.00 was paid already: with this change €200.00 goes back" in (
        text_of(seen)
    )
    data = {"content": seen.context["content"], "form_key": key_on(seen)}
    kept = typed(
        owner_client, order, "save", length="150", total="700", fee="0", **data
    )
    assert "€200.00 goes back to you" in notes[-1]
    assert "€200.00 goes back" in text_of(owner_client.get(kept.url))
    change = AgreedChange.objects.get()
    paid(order, 50)  # and what is paid until the yes is told then
    assert "€250.00 goes back" in text_of(owner_client.get(kept.url))
    data = {"form_key": key_on(owner_client.get(kept.url)), "answer": "yes"}
    done = owner_client.post(kept.url, data | {"how": "told"}, follow=True)
    assert "€250.00 more was paid than is agreed now" in text_of(done)
    assert "goes back" not in text_of(owner_client.get(kept.url))
    assert Order.objects.get().agreed == 700
    assert change.more + change.fee == -300


def test_payment_that_comes_after_looking_is_looked_at_before_it_is_kept(owner_client):
    order = agreed_order()
    seen = typed(owner_client, order, length="150", total="700")
    paid(order, 900)
    data = {"content": seen.context["content"], "form_key": key_on(seen)}
    page = typed(owner_client, order, "save", length="150", total="700", **data)
    assert "not the ones you have looked at" in text_of(page)
    assert not AgreedChange.objects.exists()


def test_change_that_leaves_something_to_pay_speaks_of_nothing_going_back(
    owner_client, notes
):
    order = agreed_order()
    paid(order, 1000)
    page = typed(owner_client, order, length="183")
    assert "goes back" not in text_of(page)


@pytest.mark.parametrize(
    "wrong",
    [{"fee": "-50"}, {"total": "-1"}, {"fee": "much"}, {"cut": ""},
     {"new_week": "31 February"}],
)  # fmt: skip
def test_try_reckons_nothing_from_a_box_it_cannot_read(owner_client, wrong):
    page = typed(owner_client, agreed_order(), length="183", **wrong)
    ((box, typing),) = wrong.items()
    assert errors_on(page, box)
    assert page.context["form"][box].value() == typing
    assert page.context["comes_to"] is None
    assert page.context["content"] == ""


def test_fee_below_zero_is_refused_by_name(owner_client):
    wrong = {"length": "183", "fee": "-50", "total": "-1"}
    for press in ("try", "save"):
        page = typed(owner_client, agreed_order(), press, **wrong)
        assert "The fee for a change is nothing or more" in errors_on(page, "fee")
        assert "paid in all is nothing or more" in errors_on(page, "total")
    assert not AgreedChange.objects.exists()
