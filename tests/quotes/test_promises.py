"""What was promised or made is not changed behind anybody's back."""

import datetime as dt

import pytest
from django.utils import timezone

from billets.knives import SPEC_FIELDS
from quotes import services as quotes
from quotes.errors import QuoteError
from quotes.models import Quote
from shop import services
from shop.stages import StageError
from tests.factories import OrderFactory, PlanFactory
from tests.quotes.orders import issue, ready_order, ready_shop

pytestmark = pytest.mark.django_db

BENCH = ("grind", "harden", "finish", "handle", "sharpen", "delivered")


def deliver(knife):
    for stage in BENCH:
        services.move_knife(knife, stage, gate_passed=True, by=None, at=timezone.now())


def accepted(knives):
    order = OrderFactory(knives=knives)
    services.change_state(order, "quoted")
    services.start_work(order, by=None, at=timezone.now() - dt.timedelta(days=9))
    return order, list(order.knives.all())


def test_order_stays_open_while_a_scrapped_knife_is_owed():
    order, (first, second) = accepted(knives=2)
    now = timezone.now()
    services.move_knife(
        first, "scrapped", gate_passed=False, by=None, at=now, reason="open weld"
    )
    second.refresh_from_db()
    deliver(second)
    order.refresh_from_db()
    assert order.state == "accepted"
    values = {
        name: getattr(first, name) for name in SPEC_FIELDS if hasattr(first, name)
    }
    again = services.add_knife(order, values | {"name": "again"}, by=None, at=now)
    deliver(again)
    order.refresh_from_db()
    assert order.state == "delivered"


def test_knife_that_was_handed_over_stays_as_it_was_made():
    _order, (knife,) = accepted(knives=1)
    deliver(knife)
    with pytest.raises(StageError, match="left the bench"):
        services.change_knife(knife, {"height": 0.05})


def test_knife_past_the_forge_keeps_its_billet():
    _order, (knife,) = accepted(knives=1)
    services.move_knife(knife, "grind", gate_passed=True, by=None, at=timezone.now())
    with pytest.raises(StageError, match="past the forge"):
        services.assign_plan(knife, None)


def test_two_knives_at_the_forge_of_one_billet_have_different_marks():
    plan, marks = PlanFactory(), set()
    for _order, (knife,) in (accepted(knives=1), accepted(knives=1)):
        services.assign_plan(knife, plan)
        marks.add(knife.mark)
    assert len(marks) == 2


def test_yes_does_not_bind_to_another_knife_than_the_one_quoted(owner_client):
    ready_shop()
    order = ready_order()
    issue(owner_client, order)
    quote = Quote.objects.get()
    services.change_knife(order.knives.get(), {"finish": "mirror"})
    now = timezone.now()
    with pytest.raises(QuoteError, match="not as quoted"):
        quotes.answer_quote(
            quote, quotes.Reply(accepted=True, note="mail"), by=None, at=now
        )
    quotes.answer_quote(
        quote, quotes.Reply(accepted=False, note="mail"), by=None, at=now
    )
