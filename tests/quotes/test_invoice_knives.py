"""An invoice describes the knife that was delivered, not the one first quoted."""

import pytest

from quotes.invoices.documents import invoice_html, invoice_paper
from quotes.invoices.drafts import advance_draft, final_draft
from quotes.models import Quote
from shop import services
from shop.models import Customer, Knife, Shop
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory, moment
from tests.quotes.changes import agree, said_yes
from tests.quotes.invoicing import accepted, advance, final, month, paid, today
from tests.quotes.orders import ready_shop, without_printer

pytestmark = pytest.mark.django_db

OLIVE = [("Olive", {"handle_material": "olive", "more": 40})]


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)
    Shop.objects.update(tax_number="11/222")


def bought(client, *names, language="en", **more):
    customer = CustomerFactory(address="Quay 9", language=language)
    return said_yes(client, *names, order=OrderFactory(customer=customer), **more)


def delivered(order):
    order.knives.exclude(stage="scrapped").update(stage="delivered")
    return order


def quoted(order):
    return Quote.objects.get(order=order).lines.get(serial=order.knives.first().serial)


def test_knife_as_quoted_is_billed_in_the_words_of_the_quote(owner_client):
    order = bought(owner_client, language="de")
    line = final(delivered(order)).lines.get()
    assert line.detail == quoted(order).detail
    assert line.label == f"Test knife, {order.knives.get().serial}"


@pytest.mark.parametrize("language", ["en", "de"])
def test_final_invoice_says_the_option_and_the_change_that_were_agreed(
    owner_client, language
):
    order = bought(owner_client, options=OLIVE, option=2, language=language)
    agree(order.knives.get(), length=0.183)
    agree(order.knives.get(), length=0.171, name="Long one")
    draft = final_draft(delivered(order), Shop.current(), today(), None, today=today())
    knife, *changed = draft.bill.lines
    assert knife.label == f"Long one, {order.knives.get().serial}"
    olive = {"en": "olive", "de": "Olive"}[language]
    assert olive in knife.detail
    assert "171" in knife.detail
    for gone in ("163", "183", "walnut", "Walnuss", "Nussbaum"):
        assert gone not in knife.detail
    assert "163" in quoted(order).detail
    assert len(changed) == 2
    page = invoice_html(invoice_paper(draft, "2026-0001", "A4"))
    assert "171" in page
    assert "163" not in page


def test_option_that_is_the_knife_as_written_is_not_named(owner_client):
    order = bought(owner_client, options=OLIVE, option=1)
    line = final(delivered(order)).lines.get()
    assert line.detail == quoted(order).detail
    assert "As chosen" not in line.detail


def test_option_is_named_without_what_a_later_change_took_back(owner_client):
    order = bought(owner_client, options=OLIVE, option=2)
    agree(order.knives.get(), handle_material="bog_oak")
    line = final(delivered(order)).lines.first()
    assert "As chosen: Olive" in line.detail
    assert line.detail.count("olive") == 0


def test_knife_made_instead_of_a_lost_one_is_the_one_billed(owner_client):
    order = bought(owner_client)
    serials = [order.knives.get().serial]
    for _time in range(2):
        services.move_knife(
            Knife.objects.last(), "scrapped", gate_passed=False, reason="weld", by=None,
            at=moment(),
        )  # fmt: skip
        serials.append(KnifeFactory(order=order, name="Once more").serial)
    (line,) = final(delivered(order)).lines.all()
    assert line.label == f"Once more, {serials[-1]}"
    assert f"Knife number: {serials[-1]}" in line.detail


def test_knife_lost_twice_and_then_cancelled_is_not_billed(owner_client):
    order = bought(owner_client, "One", "Other")
    one = order.knives.first()
    for _time in range(2):
        services.move_knife(
            one, "scrapped", gate_passed=False, reason="weld", by=None, at=moment()
        )
        one = KnifeFactory(order=order, name="Once more")
    Knife.objects.filter(pk=one.pk).update(stage="cancelled")
    order.knives.filter(name="Other").update(stage="delivered")
    (line,) = final(order).lines.all()
    assert line.label.startswith("Other")


def test_advance_invoice_says_what_is_to_come_as_agreed(owner_client):
    order = bought(owner_client, "One", "Other")
    agree(order.knives.first(), length=0.171)
    line = advance(order, "100").lines.get()
    one, other, changed = line.detail.splitlines()
    assert one.startswith(f"One, {order.knives.first().serial}: Kind of knife: ")
    assert "171" in one
    assert "163" in other
    assert changed.startswith("Change agreed on")


def test_advance_says_by_rate_what_it_is_for():
    order = accepted(
        ("knife", "500.00", 19), ("charge", "40.00", 7), ("discount", "20.00", 19)
    )
    Customer.objects.update(address="Quay 9")
    payment = paid(order, "200")
    draft = advance_draft(order, Shop.current(), payment, month(), today=today())
    details = {one.percent: one.detail for one in draft.bill.lines}
    assert details[19].startswith("Test thing, ")
    assert details[7] == "Test thing: of steel"
    assert "\n" not in details[19]  # a discount is not delivered
