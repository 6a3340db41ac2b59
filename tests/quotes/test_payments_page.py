"""The pages where money is entered, asked for and waited for."""

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from quotes.models import Paper
from quotes.services import Printed
from quotes.views import pay as view
from shop.models import Knife, Order, Payment, Shop, StageEvent
from tests.factories import OrderFactory
from tests.quotes.orders import address
from tests.quotes.paying import account, bought, pay, stand_at
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def printed(monkeypatch):
    """Papers made so far, as pages only: no PDF is needed here."""
    made = []

    def printer(paper):
        made.append(paper)
        return Printed(body=paper.title.encode(), media="html")

    monkeypatch.setattr(view, "print_request", printer)
    return made


def send(client, order, name="payments", **sent):
    page = client.get(address("payments", order))
    return client.post(address(name, order), {"form_key": key_on(page)} | sent)


def enter(client, order, amount="200", day="2026-03-02", **more):
    return send(client, order, amount=amount, received_on=day, **more)


def ticked(client, order, page, **sent):
    form = page.context["payment"]
    assert 'name="sure"' in page.content.decode()
    return enter(client, order, asked=form.mark, sure="on", **sent)


# --- entering ---------------------------------------------------------------------


def test_page_says_what_is_agreed_received_and_open(owner_client):
    order = bought("1190.00", "357.00")
    enter(owner_client, order, "200,00", reference="Deposit")
    text = text_of(owner_client.get(address("payments", order)))
    for said in ("€1,190.00", "€357.00", "€200.00", "€990.00",
                 "The deposit is not here. €157.00 of it is open"):  # fmt: skip
        assert said in text
    assert "received 2 Mar 2026, Deposit" in text
    assert "€990.00 of €1,190.00 is open" in text_of(
        owner_client.get(order.get_absolute_url())
    )


@pytest.mark.parametrize(
    ("sent", "box", "said"),
    [
        ({"amount": ""}, "amount", "Type a value"),
        ({"amount": "-20"}, "amount", ""),
        ({"amount": "0"}, "amount", "0.01 or more"),
        ({"amount": "10.005"}, "amount", "places"),
        ({"amount": "200 USD"}, "amount", "paid in EUR, not in USD"),
        ({"amount": "£200"}, "amount", "paid in EUR, not in GBP"),
        ({"amount": "two hundred"}, "amount", ""),
        ({"amount": "9" * 30}, "amount", "or less"),
        ({"received_on": "2099-01-01"}, "received_on", ""),
        ({"received_on": ""}, "received_on", "Type a date here"),
        ({"reference": "r" * 81}, "reference", "at most 80"),
    ],
)
def test_what_cannot_be_is_said_beside_its_box(owner_client, sent, box, said):
    order = bought()
    told = {"amount": "200.00", "received_on": "2026-03-02", "reference": "A"} | sent
    page = send(owner_client, order, **told)
    assert page.status_code == 200
    assert said in errors_on(page, box) != ""
    for name, typed in told.items():
        assert page.context["payment"][name].value() == typed
    assert not any(words in page.content.decode() for words in STOCK_WORDS)
    assert not Payment.objects.exists()


def test_day_to_come_is_refused(owner_client):
    day = timezone.localdate() + dt.timedelta(days=1)
    page = enter(owner_client, bought(), day=day.isoformat())
    assert "yet to come" in errors_on(page, "received_on")
    assert not Payment.objects.exists()


def test_same_payment_twice_needs_a_tick_for_that_very_payment(owner_client):
    order = bought()
    enter(owner_client, order, "200.00")
    page = enter(owner_client, order, "200.00")
    assert "entered already" in errors_on(page, "sure")
    assert Payment.objects.count() == 1
    # The tick was for 200; what is more than is open is asked about anew.
    other = ticked(owner_client, order, page, amount="5000")
    assert "more than is still open" in errors_on(other, "sure")
    assert Payment.objects.count() == 1
    assert ticked(owner_client, order, page, amount="200.00").status_code == 302
    assert Payment.objects.count() == 2


def test_all_that_looks_like_a_slip_is_said_at_once(owner_client):
    order = bought("1190.00", "357.00")
    page = enter(owner_client, order, "1191", day="2018-03-02")
    said = errors_on(page, "sure")
    assert "2 March 2018 is before order" in said
    assert "more than is still open" in said
    assert not Payment.objects.exists()
    again = ticked(owner_client, order, page, amount="1191", day="2018-03-02")
    assert again.status_code == 302


def test_form_sent_twice_enters_once(owner_client):
    order = bought()
    key = key_on(owner_client.get(address("payments", order)))
    sent = {"form_key": key, "amount": "200", "received_on": "2026-03-02"}
    for _time in range(2):
        assert owner_client.post(address("payments", order), sent).status_code == 302
    assert Payment.objects.count() == 1


def test_payment_taken_back_stays_in_the_list(owner_client):
    order = bought()
    row, other = pay(order, "200.00"), pay(bought(), "50.00")
    send(owner_client, order, take_back=row.pk)
    text = text_of(owner_client.get(address("payments", order)))
    assert "taken back" in text
    assert "€200.00" in text
    told = send(owner_client, order, take_back=row.pk)
    assert "taken back already" in text_of(told)
    for strange in (other.pk, "999", "x", "9" * 40):
        assert send(owner_client, order, take_back=strange).status_code == 404
    other.refresh_from_db()
    assert other.taken_back is None


def test_order_nothing_was_agreed_for_says_so(owner_client):
    order = OrderFactory(knives=1)
    assert "Nothing is agreed yet" in text_of(
        owner_client.get(address("payments", order))
    )
    page = owner_client.post(
        address("payments", order),
        {"form_key": "k1", "amount": "5", "received_on": "2026-03-02"},
    )
    assert "write down the customer's yes to a quote first" in text_of(page)
    assert not Payment.objects.exists()


@pytest.mark.parametrize("deposit", ["1190.01", "2000", "-1", "lots"])
def test_deposit_above_the_total_is_refused(owner_client, deposit):
    order = bought("1190.00", "357.00")
    page = send(owner_client, order, deposit=deposit, seen="357.000")
    assert page.status_code == 200
    assert page.context["deposit"]["deposit"].errors
    assert Order.objects.get().deposit_due == Decimal("357.00")


def change_deposit(client, order, deposit, **more):
    seen = client.get(address("payments", order)).context["deposit"]["seen"]
    return send(client, order, deposit=deposit, seen=seen.value(), **more)


def test_another_deposit_may_be_agreed_on(owner_client):
    order = bought("1190.00", "357.00")
    seen = owner_client.get(address("payments", order)).context["deposit"]["seen"]
    for deposit in ("500", "600"):  # the second is stale
        send(owner_client, order, deposit=deposit, seen=seen.value())
        assert Order.objects.get().deposit_due == 500


def test_smaller_deposit_than_the_quotes_needs_a_tick_for_that_very_one(owner_client):
    """Where what the knives take cannot be reckoned the quote's deposit is the rule."""
    order = bought("1190.00", "357.00")
    page = change_deposit(owner_client, order, "0")
    assert "a deposit of €357.00" in str(page.context["deposit"]["sure"].errors)
    assert Order.objects.get().deposit_due == 357
    asked = page.context["deposit"].mark
    other = change_deposit(owner_client, order, "100", sure="on", asked=asked)
    assert other.context["deposit"]["sure"].errors
    change_deposit(owner_client, order, "0", sure="on", asked=asked)
    assert Order.objects.get().deposit_due == 0


# --- asking -----------------------------------------------------------------------


def test_request_is_printed_once_and_listed(owner_client, printed):
    account()
    order = bought()
    page = owner_client.get(address("payments", order))
    assert "Deposit: print a request for €357.00" in text_of(page)
    for _time in range(2):
        answer = send(owner_client, order, "request-pdf", what="deposit")
        assert answer.url == Paper.objects.get(kind="request").get_absolute_url()
    assert len(printed) == 1
    assert "Request 1" in text_of(owner_client.get(address("payments", order)))


def test_without_an_account_the_page_leads_to_the_settings(owner_client, printed):
    order = bought()
    page = owner_client.get(address("payments", order))
    assert "write down the shop's IBAN" in text_of(page)
    assert 'href="/shop/">Open the shop' in page.content.decode()
    told = send(owner_client, order, "request-pdf", what="deposit")
    assert "write down the shop's IBAN" in text_of(told)
    assert not Paper.objects.filter(kind="request").exists()


@pytest.mark.parametrize("what", ["", "all", "deposit"])
def test_nothing_is_printed_of_what_is_not_open(owner_client, printed, what):
    account()
    order = bought()
    pay(order, "1190.00")
    told = send(owner_client, order, "request-pdf", what=what)
    assert told.status_code == 200
    assert 'role="alert"' in told.content.decode()
    assert printed == []


def test_message_for_the_balance_is_one_tap_away_once_the_knife_is_made(owner_client):
    order = bought("1190.00")
    pay(order, "357.00")
    message = address("mail-new", order, "balance")
    assert message not in owner_client.get(address("payments", order)).content.decode()
    stand_at(order.knives.get(), "sharpen")
    assert message in owner_client.get(address("payments", order)).content.decode()
    assert "€833.00" in owner_client.get(message).context["form"].initial["body"]


# --- waiting ----------------------------------------------------------------------


def test_front_page_lists_what_waits_for_money_with_its_days(owner_client):
    order = bought()
    StageEvent.objects.update(at=timezone.now() - dt.timedelta(days=12))
    text = text_of(owner_client.get("/"))
    assert "Deposit open: €357.00. waited 12 days" in text
    pay(order, "357.00")
    assert "No deposit and no balance is open." in text_of(owner_client.get("/"))


def test_helpers_see_that_money_is_missing_and_never_how_much(helper_client):
    order = bought()
    knife = order.knives.get()
    for url in ("/", order.get_absolute_url(), knife.get_absolute_url()):
        page = helper_client.get(url)
        assert "357" not in text_of(page)
        assert "/payments/" not in page.content.decode()
    assert "The deposit is not here." in text_of(
        helper_client.get(knife.get_absolute_url())
    )


def move(client, knife, ticks, to, **more):
    page = client.get(knife.get_absolute_url())
    sent = {"form_key": key_on(page), "gate": ticks, "to": to} | more
    return client.post(f"{knife.get_absolute_url()}move/", sent)


def test_locked_forge_lets_nothing_on(owner_client):
    Shop.objects.create(pk=1, deposit_locks=True)
    knife = bought().knives.get()
    page = move(owner_client, knife, ["0", "1", "2"], "grind")
    assert "No work at the forge yet" in text_of(page)
    assert "Write the payment down first" in text_of(page)
    assert Knife.objects.get().stage == "forge"


def test_unpaid_knife_needs_a_reason_and_a_paid_one_no_tick(helper_client):
    order = bought()
    knife = order.knives.get()
    stand_at(knife, "sharpen")
    page = move(helper_client, knife, ["0", "1"], "delivered")
    assert "say why the knife is handed over" in errors_on(page, "reason")
    assert "The knife is paid." not in text_of(page)
    move(helper_client, knife, ["0", "1"], "delivered", reason="Cash at the counter")
    event = StageEvent.objects.last()
    assert (event.stage, event.reason) == ("delivered", "Cash at the counter")
    assert event.by.username == "tongs"
    history = text_of(helper_client.get(knife.get_absolute_url()))
    assert "Cash at the counter" in history


def test_paid_knife_goes_out_without_a_reason(owner_client):
    order = bought()
    pay(order, "1190.00")
    knife = order.knives.get()
    stand_at(knife, "sharpen")
    assert "Paid in full." in text_of(owner_client.get(knife.get_absolute_url()))
    assert move(owner_client, knife, ["0", "1"], "delivered").status_code == 302
    assert Order.objects.get().state == "delivered"


def test_forms_without_a_token_are_refused(owner):
    order = bought()
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    for name in ("payments", "request-pdf"):
        assert client.post(address(name, order), {"form_key": "k"}).status_code == 403


# --- paid back --------------------------------------------------------------------


def test_money_paid_back_is_entered_with_a_tick_and_shown(owner_client):
    order = bought("1190.00", "357.00")
    enter(owner_client, order, "500")
    page = enter(owner_client, order, "600", back="on")
    assert "No more can be paid back" in errors_on(page, "amount")
    assert 'name="back" ' in page.content.decode()
    enter(owner_client, order, "120", back="on", reference="too much")
    text = text_of(owner_client.get(address("payments", order)))
    assert "paid back 2 Mar 2026, too much" in text
    assert "€380.00" in text
    assert Payment.objects.filter(back=True).count() == 1


def test_order_that_is_over_asks_for_its_money_in_other_words(owner_client):
    order = bought("1190.00", "357.00")
    Order.objects.filter(pk=order.pk).update(state="cancelled")
    text = text_of(owner_client.get(address("payments", order)))
    assert "€1,190.00 is open, and the order is over" in text


@pytest.mark.parametrize("seen", ["sNaN", "NaN", "Infinity", "x", ""])
def test_deposit_changed_from_no_number_is_looked_at_again(owner_client, seen):
    order = bought("1190.00", "357.00")
    page = send(owner_client, order, deposit="100", seen=seen)
    assert page.status_code == 200
    assert "Someone else has just changed" in text_of(page)
    assert Order.objects.get().deposit_due == Decimal("357.00")
