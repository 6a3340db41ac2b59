"""Two people at once, on the server that has several writers; SQLite has one."""

import contextlib
import datetime as dt
import threading
import time
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.utils import timezone

from quotes import services as quotes
from quotes.errors import QuoteError
from quotes.invoices.drafts import final_draft
from quotes.invoices.services import issue_invoice, next_number
from quotes.models import Quote
from quotes.offer.frozen import Offer
from quotes.private import standing, tokens
from quotes.rate_book import book_on, save_rates
from quotes.services import Printed
from shop import services
from shop.models import Knife, Order, Rate, Shop, TaxSetting
from tests.factories import KnifeFactory, OrderFactory
from tests.quotes.invoicing import PAGE, accepted, today
from tests.quotes.invoicing import ready_shop as ready_to_bill
from tests.quotes.orders import ready_shop

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        "connection.vendor == 'sqlite'", reason="needs the server that .ci/run starts"
    ),
]

PATIENCE = 1.0
"""So long the first of two waits for the other before it is done [s]."""


def at_once(*acts):
    """Carry out acts in transactions that overlap, unless one of them waits."""
    met, ends = threading.Barrier(len(acts)), [None] * len(acts)

    def carry_out(place, act):
        try:
            with transaction.atomic():
                act()
                # Broken where the other one waits for us, as it should.
                with contextlib.suppress(threading.BrokenBarrierError):
                    met.wait(PATIENCE)
        except ValueError as error:
            ends[place] = error
        finally:
            connection.close()

    threads = [
        threading.Thread(target=carry_out, args=pair) for pair in enumerate(acts)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return ends


def offer(revision):
    today = timezone.localdate()
    return Offer(
        revision=revision, issued_at=timezone.now(),
        valid_until=today + dt.timedelta(days=9), kind="fixed", mode="gross",
        regime="standard", currency="EUR", net=Decimal(100), tax_rate=Decimal(19),
        tax=Decimal(19), total=Decimal(119), taxes=(), deposit=Decimal(30), lines=(),
    )  # fmt: skip


def issue(order, revision):
    """Issue a revision, of words no paper has to be laid out for."""
    page = Printed(body=f"revision {revision}".encode(), media="html")
    return quotes.issue_quote(order, offer(revision), page, {}, by=None)


def test_last_two_knives_handed_over_at_once_close_the_order():
    order = OrderFactory(knives=2, accepted=True)
    order.knives.update(stage="sharpen")

    def hand_over(knife):
        return lambda: services.move_knife(
            knife, "delivered", gate_passed=True, by=None, at=timezone.now()
        )

    knives = Knife.objects.select_related("order").order_by("pk")
    assert at_once(*(hand_over(knife) for knife in knives)) == [None, None]
    assert Order.objects.get().state == "delivered"


def test_knife_taken_back_while_the_last_one_is_handed_over_reopens_the_order():
    order = OrderFactory(knives=2, accepted=True)
    first, second = Knife.objects.select_related("order").order_by("pk")
    services.move_knife(
        first, "cancelled", gate_passed=False, by=None, at=timezone.now(), reason="no"
    )
    Knife.objects.filter(pk=second.pk).update(stage="sharpen")
    first, second = Knife.objects.select_related("order").order_by("pk")
    ends = at_once(
        lambda: services.correct_move(
            first, "forge", reason="it was the other", by=None, at=timezone.now()
        ),
        lambda: services.move_knife(
            second, "delivered", gate_passed=True, by=None, at=timezone.now()
        ),
    )
    assert ends == [None, None]
    assert Order.objects.get(pk=order.pk).state == "accepted"


def test_quote_is_not_revised_while_the_customer_says_yes():
    issue(OrderFactory(knives=1), 1)
    quote = Quote.objects.select_related("order").get()
    seen_before = Order.objects.get()
    said_yes, revised = at_once(
        lambda: quotes.answer_quote(
            quote,
            quotes.Reply(accepted=True, note="by telephone"),
            by=None,
            at=timezone.now(),
        ),
        lambda: issue(seen_before, 2),
    )
    refusals = [one for one in (said_yes, revised) if one is not None]
    assert [type(one) for one in refusals] == [QuoteError]
    assert Order.objects.get().state == ("quoted" if said_yes else "accepted")


def test_same_revision_is_issued_once():
    OrderFactory(knives=1)
    ends = at_once(
        lambda: issue(Order.objects.get(), 1), lambda: issue(Order.objects.get(), 1)
    )
    assert sorted(type(one).__name__ for one in ends) == ["NoneType", "QuoteError"]
    assert Quote.objects.count() == 1


def slowly(hold):
    """Hold a row, and leave the other one time to hold another."""

    def held(*args):
        hold(*args)
        time.sleep(PATIENCE / 3)

    return held


def invoiced(order):
    draft = final_draft(order, Shop.current(), today(), None, today=today())
    number = next_number(today())

    def act():
        issue_invoice(
            draft, number, PAGE, rebuild=lambda: draft, by=None, at=timezone.now()
        )

    return act


def knife_added(order):
    Order.objects.filter(pk=order.pk).update(state="enquiry")
    return lambda: KnifeFactory(order=order)


@pytest.mark.parametrize("ready", [invoiced, knife_added])
def test_customer_asks_while_a_number_is_given(monkeypatch, ready):
    """Both need the shop and the order: the shop first, or each waits for the other."""
    ready_shop()
    TaxSetting.objects.all().delete()
    ready_to_bill()
    order = accepted()
    link, _token = tokens.make_link(order, by=None, at=timezone.now())
    act = ready(order)
    monkeypatch.setattr(services, "hold_order", slowly(services.hold_order))
    monkeypatch.setattr(standing, "hold_shop", slowly(services.hold_shop))
    ends = at_once(act, lambda: standing.ask(link, "When?", timezone.now()))
    assert ends == [None, None]
    assert order.questions.count() == 1


def test_second_of_two_who_change_a_rate_is_told():
    ready_shop()
    today = timezone.localdate()
    seen = book_on(today).seen

    def change(value):
        return lambda: save_rates(
            {"labour": Decimal(value)}, valid_from=today, note="", seen=seen
        )

    ends = at_once(change(51), change(52))
    assert sorted(type(one).__name__ for one in ends) == ["NoneType", "QuoteError"]
    kept = Rate.objects.get(key="labour", valid_from=today).value
    assert kept == (52 if ends[0] else 51)
