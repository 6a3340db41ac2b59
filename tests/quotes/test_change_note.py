"""The note of a change: what the customer says yes or no to."""

import pytest
from django.utils import timezone

from quotes.changes_after.note import change_note, note_html, print_note
from quotes.models import Paper
from shop.models import AgreedChange, Customer, Shop
from tests.factories import moment
from tests.quotes.changes import (
    agreed_order,
    figure,
    kept_by_page,
    knife_of,
    notes_kept,
    typed,
)
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def notes(monkeypatch):
    """A shop with its rates; notes are pages only, and kept here as they were made."""
    lay_in()
    return notes_kept(monkeypatch)


def test_note_is_a_pdf_for_everybody_with_the_same_words_each_time():
    knife = knife_of(agreed_order())
    at = moment()
    first, again = (
        change_note(figure(knife, length=0.183), "Longer", 1, Shop.current(), at)
        for _time in range(2)
    )
    assert first == again
    assert print_note(first).body.startswith(b"%PDF-")
    assert print_note(first).media == "pdf"


def test_wish_is_told_as_text_and_never_as_a_page():
    knife = knife_of(agreed_order())
    one = figure(knife, length=0.183)
    note = note_html(
        change_note(one, "<b onclick=x>\nsoon", 1, Shop.current(), moment())
    )
    assert "&lt;b onclick=x&gt;<br>soon" in note


def test_kept_change_has_its_note_in_the_customers_language(owner_client, notes):
    order = agreed_order()
    page = owner_client.get(kept_by_page(owner_client, order, length="183").url)
    text = text_of(page)
    assert "Waits for the customer" in text
    assert "Longer" in text
    paper = Paper.objects.get(kind="change")
    assert paper.get_absolute_url() in page.content.decode()
    assert (paper.order, paper.revision, paper.knife) == (order, 1, None)
    (note,) = notes
    for said in ("Change 1 to order", "Longer", "183", "15\u00a0%", "Your yes", "<svg"):
        assert said in note
    change = AgreedChange.objects.get()
    whole = f"{1000 + change.more + change.fee:,.2f}"
    assert f"€{whole}" in note
    assert f"€{whole}" in text


def test_customers_language_is_that_of_the_note(owner_client, notes):
    order = agreed_order()
    Customer.objects.update(language="de")
    page = typed(owner_client, order, length="183", hardness="62")
    assert '<tbody lang="de">' in page.content.decode()
    assert kept_by_page(owner_client, order, length="183").status_code == 302
    assert '<html lang="de">' in notes[0]
    assert (
        timezone.localdate().isoformat()
        == AgreedChange.objects.get().values["rates_on"]
    )
