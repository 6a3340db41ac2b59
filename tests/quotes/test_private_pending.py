"""A change that waits is answered on the private page; what is due, and when."""

import datetime as dt
import re

import pytest
from django.utils import timezone

from quotes.changes_after import saving
from quotes.changes_after.figured import COLUMNS
from quotes.models import Paper
from quotes.pay.documents import keep_request
from quotes.pay.request import request_paper
from quotes.private import tokens
from quotes.services import Printed
from shop import services
from shop.models import AgreedChange, Knife, Order, Shop
from shop.usual import knife_name
from tests.factories import KnifeFactory, moment
from tests.quotes.asking import balance_mailed
from tests.quotes.changes import at_stage, made
from tests.quotes.orders import issue, ready_order, ready_shop, without_printer
from tests.quotes.privates import link_for, opened, ordered, receive, seen, yes
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

WEEK = dt.date(2030, 3, 4)
IBAN = "DE02120300000000202051"
"""A made-up account with right check digits."""


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)
    Shop.objects.update(iban=IBAN, account_holder="Test forge")


@pytest.fixture
def bought(owner_client):
    return ordered(owner_client)


def waiting(order, **values):
    knife = Knife.objects.for_list().get(order=order)
    change = made(knife, **({"length": 0.183, "new_week": WEEK} | values))
    kept = change.values | {"told": [["Edge", "163 mm", "183 mm"]]}
    AgreedChange.objects.filter(pk=change.pk).update(values=kept)
    return AgreedChange.objects.get(pk=change.pk)


def told(change, said, **changes):
    """What the form of an answer sends."""
    paper = Paper.objects.get(pk=change.values["paper"])
    box = f"change-{change.pk}-{said}-"
    boxes = {f"{box}typed_name": "Tilda Grauwacke", f"{box}agree": "on"}
    return {"answer": said, "change": change.pk, "sha256": paper.sha256,
            **boxes, **changes}  # fmt: skip


def answered(customer, change, said="yes", **changes):
    return customer.post("/q/change/", told(change, said, **changes))


def lost(knife):
    services.move_knife(
        knife, "scrapped", gate_passed=False, reason="a weld", by=None,
        at=timezone.now(),
    )  # fmt: skip


# --- a change that waits ------------------------------------------------------------


def test_change_is_shown_with_its_price_week_and_note(bought):
    order, customer = bought
    change = waiting(order)
    text, more = seen(customer), change.more + change.fee
    assert "Edge 163 mm → 183 mm" in text
    assert f"It costs more by €{more:,.2f}" in text
    assert f"To be paid in all then €{order.agreed + more:,.2f}" in text
    assert "Promised then" in text
    assert "2030" in text
    body = customer.get("/q/view/").content.decode()
    note = re.search(r'href="(/q/paper/change/1/)">Open the note', body)[1]
    assert customer.get(note).content == b"note"


def test_yes_is_taken_once_with_its_name(bought):
    order, customer = bought
    change = waiting(order)
    assert answered(customer, change).status_code == 303
    assert answered(customer, change).status_code == 303
    change.refresh_from_db()
    assert (change.state, change.how) == (
        "agreed", "on the private page: Tilda Grauwacke",
    )  # fmt: skip
    now = Order.objects.get(pk=order.pk)
    assert now.agreed == order.agreed + change.more + change.fee
    assert now.promised_week == WEEK
    assert Knife.objects.get().length == pytest.approx(0.183)
    assert "your answer" not in seen(customer)
    refused = answered(customer, change, "no")
    assert refused.status_code == 409
    assert "This change has been answered already" in text_of(refused)


def test_no_leaves_all_as_it_was_and_keeps_its_reason(bought):
    order, customer = bought
    change = waiting(order)
    reason = {f"change-{change.pk}-no-reason": "too dear"}
    assert answered(customer, change, "no", **reason).status_code == 303
    change.refresh_from_db()
    assert change.state == "refused"
    assert change.how == "on the private page: too dear"
    assert Order.objects.get(pk=order.pk).agreed == order.agreed


def test_yes_without_name_or_tick_keeps_what_was_typed(bought):
    order, customer = bought
    change = waiting(order)
    box = f"change-{change.pk}-yes-"
    page = customer.post("/q/change/", told(change, "yes", **{f"{box}typed_name": ""}))
    assert page.status_code == 200
    assert "This needs mending" in text_of(page)
    data = told(change, "yes")
    del data[f"{box}agree"]
    page = customer.post("/q/change/", data)
    assert "Tick this box if you want the change." in text_of(page)
    assert 'value="Tilda Grauwacke"' in page.content.decode()
    assert AgreedChange.objects.get().state == "open"


def test_answer_binds_to_note_and_change(bought, owner_client):
    order, customer = bought
    change = waiting(order)
    for wrong in ({"sha256": "0" * 64}, {"sha256": "x"}, {"change": "9" * 30},
                  {"change": change.pk + 1}):  # fmt: skip
        assert (
            customer.post("/q/change/", told(change, "yes") | wrong).status_code == 409
        )
    _other, stranger = ordered(owner_client)
    assert answered(stranger, change).status_code == 409
    other = told(change, "yes") | {"answer": "perhaps"}
    assert customer.post("/q/change/", other).status_code == 400
    assert AgreedChange.objects.get().state == "open"


def test_replaced_late_and_closed_changes_say_why(bought):
    order, customer = bought
    first = waiting(order)
    AgreedChange.objects.filter(pk=first.pk).update(state="refused")
    second = waiting(order, length=0.181)
    assert "A newer change has replaced" in text_of(answered(customer, first))
    at_stage(Knife.objects.get(), "sharpen")
    late = answered(customer, second)
    assert late.status_code == 409
    assert "The shop has to look at this change first" in text_of(late)
    assert AgreedChange.objects.get(pk=second.pk).state == "open"
    Order.objects.update(state="cancelled")
    assert "takes no answer now" in text_of(answered(customer, second))


def test_link_that_ends_meanwhile_takes_no_answer(bought, monkeypatch):
    order, customer = bought
    change = waiting(order)
    link, _token = link_for(order)
    tokens.revoke(link, moment())
    monkeypatch.setattr(tokens, "remembered", lambda _request: link)
    monkeypatch.setattr(tokens, "ended", lambda _link, _day: "")
    assert answered(customer, change).status_code == 410
    assert AgreedChange.objects.get().state == "open"


# --- the balance --------------------------------------------------------------------


def test_balance_is_to_pay_once_it_was_asked_for(bought):
    order, customer = bought
    receive(order, order.deposit_due)
    at_stage(Knife.objects.get(), "sharpen")
    rest = f"€{order.agreed - order.deposit_due:,.2f}"
    text = seen(customer)
    assert f"The balance of {rest} comes with the final photos." in text
    assert "to pay now" not in text
    assert "When it is finished you get the final photos" in text
    balance_mailed(order, state="failed")
    assert "to pay now" not in seen(customer)
    balance_mailed(order)
    text = seen(customer)
    assert f"{rest} balance, to pay now" in text
    assert "final photos" not in text
    assert "When the balance is here, it is handed over to you." in text


@pytest.mark.parametrize(("what", "asked"), [("deposit", False), ("balance", True)])
def test_request_on_paper_asks_for_what_it_names(bought, what, asked):
    order, customer = bought
    paper = request_paper(order, Shop.current(), what, timezone.localdate())
    keep_request(order, paper, Printed(body=b"%PDF", media="pdf"), by=None,
                 at=timezone.now())  # fmt: skip
    assert ("balance, to pay now" in seen(customer)) == asked


def test_paid_knife_ends_with_the_handing_over(bought):
    order, customer = bought
    receive(order, order.agreed)
    at_stage(Knife.objects.get(), "sharpen")
    text = seen(customer)
    assert "What happens next" in text
    assert "When it is finished, it is handed over to you." in text


# --- a knife that was lost ----------------------------------------------------------


def test_lost_knife_asks_for_nothing_until_the_shop_has_said(bought):
    order, customer = bought
    lost(Knife.objects.get())
    text = seen(customer)
    assert "whether another is made in its place, or money goes back" in text
    for gone in ("Pay the deposit", "your steel is bought", "final photos"):
        assert gone not in text, gone
    KnifeFactory(order=order, name="Test knife", stage="forge")
    text = seen(customer)
    assert "whether another is made" not in text
    assert "your steel is bought" not in text
    assert "layers of" in text


# --- small words --------------------------------------------------------------------


def test_cancelled_page_says_nothing_of_tax_in_what_is_kept(bought):
    order, customer = bought
    assert "of it tax" in seen(customer)
    saving.cancel(Order.objects.get(pk=order.pk), "moved", cut=False, by=None,
                  at=moment())  # fmt: skip
    text, kept = seen(customer), Order.objects.get(pk=order.pk).agreed
    assert "of it tax" not in text
    assert "19 %" not in text.replace("\u00a0", " ")
    assert f"Kept by the shop €{kept:,.2f}" in text


def test_week_that_was_not_promised_is_said_to_be_open(bought):
    _order, customer = bought
    assert "Promised not promised yet; ask the shop" in seen(customer)


# --- the edit form after the yes ----------------------------------------------------


def edited(client, knife, **changes):
    page = client.get(f"/knives/{knife.serial}/edit/")
    form = page.context["form"]
    data = {name: form[name].value() for name in form.fields}
    data = {name: "" if one is None else one for name, one in data.items()}
    data |= {"form_key": key_on(page), "version": knife.version, "save": "1"}
    return client.post(f"/knives/{knife.serial}/edit/", data | changes)


def test_what_the_yes_binds_is_not_altered_by_edit_knife(bought, owner_client):
    _order, customer = bought
    knife = Knife.objects.get()
    page = edited(owner_client, knife, length="140", name="Short one")
    assert page.status_code == 200
    assert "said yes to this as it was" in errors_on(page, "length")
    assert f"/changes/new/?knife={knife.serial}" in page.content.decode()
    assert Knife.objects.get().length == knife.length
    assert edited(owner_client, knife, name="Rosie", note="soft").status_code == 302
    now = Knife.objects.get()
    assert (now.name, now.note) == ("Rosie", "soft")
    assert "Rosie" not in seen(customer)


def test_every_column_that_is_specified_is_bound_or_the_bench_s(bought):
    knife = Knife.objects.get()
    for name in set(COLUMNS) - services.STAYS_FREE:
        other = object() if not isinstance(getattr(knife, name), float) else 0.777
        with pytest.raises(services.StageError):
            services.edit_knife(Knife.objects.get(), {name: other})


def test_order_accepted_without_a_quote_stays_editable(bought, owner_client):
    Order.objects.update(agreed=None)
    assert edited(owner_client, Knife.objects.get(), length="160").status_code == 302
    assert Knife.objects.get().length == pytest.approx(0.16)


def test_name_made_of_the_length_follows_an_agreed_change(owner_client):
    usual = knife_name("santoku", 0.163, "metric")
    order = ready_order(usual)
    issue(owner_client, order)
    customer, _link = opened(order)
    yes(customer)
    order = Order.objects.get()
    change = waiting(order)
    Knife.objects.update(name="Rosie")
    assert f"<h2>{usual}</h2>" in customer.get("/q/view/").content.decode()
    answered(customer, change)
    body = customer.get("/q/view/").content.decode()
    assert f"<h2>{knife_name('santoku', 0.183, 'metric')}</h2>" in body
