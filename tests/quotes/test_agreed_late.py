"""Orders said yes to before payments were kept: their sum is agreed on late."""

from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from quotes.changes_after import saving
from shop import services
from shop.models import Knife, Order
from shop.owing import owing
from shop.stages import StageError
from tests.factories import moment
from tests.quotes.changes import agreed_order, knife_of, made
from tests.quotes.invoicing import accepted, ready_shop
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

KNIVES = (("knife", "500.00", 19), ("knife", "300.00", 19))


@pytest.fixture(autouse=True)
def shop():
    lay_in()
    ready_shop()


def upgraded(*lines, **values):
    """An order one knife of which was cancelled before the upgrade, after it."""
    order = accepted(*lines, handed=False, **values)
    Knife.objects.filter(pk=knife_of(order).pk).update(stage="cancelled")
    import_module("quotes.migrations.0003_customer_side").keep_agreed(apps, None)
    return Order.objects.get(pk=order.pk)


def test_knife_cancelled_before_is_not_in_what_is_agreed():
    """500 + 300 without the 500: 300."""
    assert upgraded(*KNIVES).agreed == 300


@pytest.mark.parametrize(
    ("more", "values"),
    [((("discount", "40.00", 19),), {}), ((("extra", "60.00", 19),), {}),
     ((), {"mode": "net"})],
)  # fmt: skip
def test_what_is_no_plain_sum_is_left_to_the_owner(more, values):
    """A discount's share, an extra, or tax on top is nothing a migration decides."""
    assert upgraded(*KNIVES, *more, **values).agreed is None


def test_owner_agrees_on_the_sum_of_an_order_that_was_handed_over(owner_client):
    """Nobody is chased for it before; then 120 of the quote's 800 is open."""
    order = accepted(*KNIVES)
    Order.objects.filter(pk=order.pk).update(state="delivered")
    where = f"/orders/{order.number}/payments/"
    page = owner_client.get(where)
    assert "handed over before payments were kept here" in text_of(page)
    assert page.context["late"]["total"].value() == "800.00"
    assert owing() == []
    wrong = owner_client.post(where, {"form_key": key_on(page), "total": "-1"})
    assert wrong.status_code == 200
    assert errors_on(wrong, "late_total")
    sent = owner_client.post(where, {"form_key": key_on(wrong), "total": "120"})
    assert sent.status_code == 302
    order = Order.objects.get(pk=order.pk)
    assert (order.agreed, order.deposit_due) == (120, 0)
    assert [one.amount for one in owing()] == [120]
    with pytest.raises(StageError, match="just agreed"):
        services.agree_late(order, Decimal(5))


def test_order_nobody_said_yes_to_has_no_sum_to_agree_on(owner_client):
    """Nor one that was cancelled before, which is told."""
    order = accepted(*KNIVES)
    Order.objects.filter(pk=order.pk).update(state="cancelled")
    where = f"/orders/{order.number}/payments/"
    page = owner_client.get(where)
    assert "cancelled before payments were kept here" in text_of(page)
    assert "late" not in page.context
    owner_client.post(where, {"form_key": "k1", "total": "120"})
    assert Order.objects.get(pk=order.pk).agreed is None


def test_knife_is_not_handed_over_while_its_change_waits(owner_client):
    """Said no to, it is."""
    order = agreed_order("One", agreed="0", deposit="0")
    change = made(knife_of(order), length=0.171)
    Knife.objects.filter(pk=knife_of(order).pk).update(stage="sharpen")
    with pytest.raises(StageError, match="waits for the customer's yes or no"):
        hand_over(order)
    saving.answer_change(change, accepted=False, how="told", at=moment())
    hand_over(order)
    assert Order.objects.get(pk=order.pk).state == "delivered"


def hand_over(order):
    services.move_knife(
        knife_of(order), "delivered", gate_passed=True, by=None, at=moment()
    )
