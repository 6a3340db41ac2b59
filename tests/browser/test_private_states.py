"""Every state of the private page, and every notice in its place, on a phone."""

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from quotes.changes_after import saving
from quotes.private import case
from quotes.private.words import NOTICES
from quotes.services import Reply, answer_quote
from quotes.views import private as private_views
from shop import services
from shop.models import Knife, Order, Shop
from tests.browser.test_main_job import PHONE
from tests.browser.test_private_page import sound
from tests.quotes.changes import made
from tests.quotes.orders import (
    drafted,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.privates import link_for, receive

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def owner_at(live_server, owner, monkeypatch):
    """The owner, who issues quotes of a shop with an account."""
    ready_shop()
    without_printer(monkeypatch)
    Shop.objects.update(
        name="Test forge", iban="DE02120300000000202051", account_holder="Test forge"
    )
    client = Client()
    client.force_login(owner)
    return client


@pytest.fixture
def phone(browser):
    """A customer's phone; axe is a script, which the page's policy would refuse."""
    context = browser.new_context(viewport=PHONE, bypass_csp=True)
    yield context.new_page()
    context.close()


def said(order, *, accepted=True, option=None):
    reply = Reply(accepted=accepted, note="on the page", option=option)
    answer_quote(order.quotes.first(), reply, by=None, at=timezone.now())


def offered(order):
    """Nothing is answered yet."""


def taken(order):
    said(order)


def paid(order):
    said(order)
    receive(order, now(order).deposit_due)
    made(order.knives.select_related("order").get(), length=0.183)


def changed(order):
    paid(order)
    change = order.changes.get()
    saving.answer_change(change, accepted=True, how="told", at=timezone.now())


def finished(order):
    paid(order)
    Knife.objects.filter(order=order).update(stage="sharpen")
    order.mails.create(kind="balance", to="tilda@grauwacke.example", subject="Finished",
                       body="", state="sent", at=timezone.now())  # fmt: skip


def handed_over(order):
    said(order)
    receive(order, now(order).agreed)
    Knife.objects.filter(order=order).update(stage="sharpen")
    services.move_knife(
        order.knives.get(), "delivered", gate_passed=True, by=None, at=timezone.now()
    )


def cancelled(order):
    said(order)
    receive(order, now(order).deposit_due)
    saving.cancel(now(order), "moved", cut=False, by=None, at=timezone.now())


def paid_back(order):
    cancelled(order)
    receive(order, Decimal(20), back=True)


def declined(order):
    said(order, accepted=False)


def now(order):
    return Order.objects.get(pk=order.pk)


STATES = {
    "Quote": offered, "Pay the deposit of": taken, "Nothing now": changed,
    "your answer": paid, "Pay the balance of": finished,
    "Handed over on": handed_over, "You get back": cancelled,
    "paid back": paid_back, "Declined on": declined,
}  # fmt: skip


def test_no_state_has_access_faults_or_scrolls_sideways(phone, live_server, owner_at):
    for words, brought in STATES.items():
        order = ready_order()
        issue(owner_at, order)
        brought(order)
        look(phone, live_server, order, words)


def test_no_page_of_options_or_of_what_ran_out_has_faults(
    phone, live_server, owner_at, monkeypatch
):
    order = ready_order("One knife", "Another knife")
    drafted(order, options=[("Olive", {"handle_material": "olive"})],
            extras=[("sheath", "61.50")])  # fmt: skip
    issue(owner_at, order)
    look(phone, live_server, order, "of it as deposit")
    phone.get_by_role("link", name="Go to your answer").click()
    phone.get_by_role("button", name="Accept quote").click()
    phone.get_by_text("Choose the option you take.").first.wait_for()
    sound(phone)
    late = timezone.localdate() + dt.timedelta(days=45)
    monkeypatch.setattr(case.timezone, "localdate", lambda *_at: late)
    look(phone, live_server, order, "It ran out on")


def test_no_notice_has_access_faults(phone, live_server, owner_at, monkeypatch):
    order = ready_order()
    issue(owner_at, order)
    look(phone, live_server, order, "Quote")
    for key, notice in NOTICES.items():
        monkeypatch.setattr(
            private_views, "show_page",
            lambda request, _link, key=key: private_views.notice_page(request, key),
        )  # fmt: skip
        phone.goto(f"{live_server.url}/q/view/")
        phone.get_by_role("heading", name=str(notice.title)).wait_for()
        sound(phone)


def look(phone, live_server, order, words):
    """Open an order's page by a link of its own; it says what it should, soundly."""
    address = f"{live_server.url}/q/{link_for(order)[1]}/"
    phone.goto(address.replace("localhost", "127.0.0.1"))
    assert words in phone.inner_text("main")
    sound(phone)
