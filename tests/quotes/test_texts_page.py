"""What papers say in words: dated, in the customer's language, kept as it was."""

import datetime as dt

import pytest
from django.utils import timezone, translation

from quotes import texts
from quotes.text_book import book_on, lacking, save_text, seen
from quotes.texts import TEXTS
from shop.models import PaperText
from tests.factories import OrderFactory
from tests.quotes.orders import (
    address,
    drafted,
    own_text,
    ready_order,
    ready_shop,
)
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate()
DAY = dt.timedelta(days=1)


def send(client, **changes):
    """Add a version as from a page just opened."""
    page = client.get("/shop/texts/")
    data = {
        "key": "terms", "language": "en", "valid_from": TODAY.isoformat(),
        "text": "Paid in horseshoes.", "form_key": key_on(page),
        "seen": page.context["seen"],
    }  # fmt: skip
    return client.post("/shop/texts/", data | changes)


def said(key="terms", day=TODAY, language="en"):
    with translation.override(language):
        return texts.text(key, day)


# --- what counts ------------------------------------------------------------------


@pytest.mark.parametrize("key", list(TEXTS))
@pytest.mark.parametrize("language", ["en", "de"])
def test_without_texts_of_its_own_a_shop_says_the_usual_sentences(key, language):
    assert said(key, language=language) == texts.usual(key, language)


def test_text_counts_from_its_day_on(owner_client):
    own_text("terms", "The first.", valid_from=TODAY - 9 * DAY)
    own_text("terms", "The second.", valid_from=TODAY + 3 * DAY)
    assert said(day=TODAY - 10 * DAY) == texts.usual("terms", "en")
    assert said(day=TODAY - 9 * DAY) == said(day=TODAY + 2 * DAY) == "The first."
    assert said(day=TODAY + 3 * DAY) == "The second."


def test_text_of_another_language_is_never_said_instead():
    own_text("terms", "Paid in horseshoes.")
    assert said(language="de") == texts.usual("terms", "de")
    with translation.override("en"):
        assert lacking("de", TODAY) == ["Terms"]
        assert lacking("en", TODAY) == []


def test_check_page_says_what_is_not_written_in_the_customers_language(owner_client):
    ready_shop()
    order = ready_order(order=OrderFactory(customer__language="de"))
    drafted(order)
    own_text("care", "Feed it onions.")
    text = text_of(owner_client.get(address("quote-new", order)))
    assert "none in German, so the usual sentences stand here: Care." in text
    assert texts.usual("care", "de") in text
    own_text("care", "Nur Zwiebeln.", language="de")
    text = text_of(owner_client.get(address("quote-new", order)))
    assert "Nur Zwiebeln." in text
    assert "so the usual sentences stand here" not in text


def test_empty_text_gives_the_word_back_to_the_usual_sentence():
    own_text("terms", "The first.", valid_from=TODAY - 9 * DAY)
    own_text("terms", "", valid_from=TODAY)
    assert said(day=TODAY - DAY) == "The first."
    assert said() == texts.usual("terms", "en")
    assert not any(one.elsewhere for one in book_on(TODAY)["terms"])


# --- the page -----------------------------------------------------------------------


def test_page_says_whose_words_count_and_since_when(owner_client):
    own_text("care", "Feed it onions.", valid_from=dt.date(2026, 3, 2))
    own_text("care", "Feed it leeks.", valid_from=TODAY + 400 * DAY)
    page = owner_client.get("/shop/texts/")
    text = text_of(page)
    assert "Your own text, since 2 Mar 2026. From" in text
    assert "on another text. Feed it onions. What it says from" in text
    assert "There is no text of your own in German." in text
    assert text.count("The usual sentence. ") == 2 * len(TEXTS) - 1
    assert "Check the wording with your adviser" in text
    assert texts.usual("care", "de") in text
    assert [row.text for _text, _language, row in page.context["history"]] == [
        "Feed it leeks.", "Feed it onions.",
    ]  # fmt: skip


def test_version_is_added_and_the_one_before_is_kept(owner_client):
    own_text("terms", "The first.", valid_from=TODAY - 9 * DAY)
    answer = send(owner_client)
    assert (answer.status_code, answer.url) == (302, "/shop/texts/")
    assert said() == "Paid in horseshoes."
    assert said(day=TODAY - DAY) == "The first."
    text = text_of(owner_client.get("/shop/texts/"))
    assert "Terms, English: the new version counts from" in text
    assert "The first." in text


def test_empty_version_says_so(owner_client):
    own_text("terms", "The first.", valid_from=TODAY - 9 * DAY)
    send(owner_client, text="  ")
    text = text_of(owner_client.get("/shop/texts/"))
    assert "The usual sentence again, since" in text
    assert "the usual sentence again" in text
    assert PaperText.objects.count() == 2


def test_lines_of_a_text_are_kept(owner_client):
    send(owner_client, text="One.\r\n\r\nTwo.\x00")
    assert PaperText.objects.get().text == "One.\n\nTwo."


def test_link_opens_the_form_with_the_words_that_count(owner_client):
    own_text("care", "Feed it onions.")
    form = owner_client.get("/shop/texts/?key=care&language=en").context["form"]
    assert form["text"].value() == "Feed it onions."
    assert (form["key"].value(), form["language"].value()) == ("care", "en")
    usual = owner_client.get("/shop/texts/?key=care&language=de").context["form"]
    assert usual["text"].value() == texts.usual("care", "de")
    for odd in ("?key=recipe&language=en", "?key=care&language=xx"):
        assert owner_client.get(f"/shop/texts/{odd}").status_code == 200


def test_version_to_come_can_be_written_anew(owner_client):
    later = TODAY + 5 * DAY
    send(owner_client, valid_from=later.isoformat(), text="Not so.")
    assert send(owner_client, valid_from=later.isoformat(), text="So.").status_code == (
        302
    )
    assert [row.text for row in PaperText.objects.all()] == ["So."]


@pytest.mark.parametrize("days", [0, 9])
def test_version_that_has_counted_is_never_written_over(owner_client, days):
    own_text("terms", "The first.", valid_from=TODAY - days * DAY)
    day = (TODAY - days * DAY).isoformat()
    page = send(owner_client, valid_from=day)
    assert "choose a later day" in errors_on(page, "valid_from")
    assert "Paid in horseshoes." in page.content.decode()
    assert PaperText.objects.get().text == "The first."


def test_version_that_changes_nothing_is_refused(owner_client):
    own_text("terms", "The first.")
    page = send(owner_client, text="The first.")
    assert "Papers say exactly this" in errors_on(page, "text")
    empty = send(owner_client, key="care", text="")
    assert "Papers say exactly this" in errors_on(empty, "text")
    assert PaperText.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "box", "words"),
    [
        ({"valid_from": ""}, "valid_from", "Type a date here"),
        ({"valid_from": "30 February"}, "valid_from", "is no day of the calendar"),
        ({"valid_from": "0001-01-01"}, "valid_from", "Type a date from"),
        ({"text": "t" * 3001}, "text", "at most 3,000"),
        ({"key": "recipe"}, "key", "Choose one of the list."),
        ({"key": ""}, "key", "This box is empty"),
        ({"language": "xx"}, "language", "Choose one of the list."),
    ],
)
def test_what_is_wrong_is_said_beside_its_box(owner_client, changes, box, words):
    page = send(owner_client, **changes)
    assert words in errors_on(page, box)
    assert page.context["form"][box].value() == changes[box]
    assert not any(stock in page.content.decode() for stock in STOCK_WORDS)
    assert not PaperText.objects.exists()


def test_form_sent_twice_adds_one_version(owner_client):
    page = owner_client.get("/shop/texts/")
    sent = {"form_key": key_on(page), "seen": page.context["seen"]}
    assert send(owner_client, **sent).status_code == 302
    assert send(owner_client, **sent).status_code == 302
    assert PaperText.objects.count() == 1


def test_second_of_two_who_write_is_told(owner_client):
    before = owner_client.get("/shop/texts/").context["seen"]
    own_text("care", "Somebody else's.", valid_from=TODAY)
    page = send(owner_client, seen=before)
    assert "Somebody else has changed a text" in text_of(page)
    assert PaperText.objects.count() == 1


def test_what_is_typed_is_shown_as_typed(owner_client):
    attack = "<script>alert(1)</script>{{ 7*7 }} & </textarea>"
    send(owner_client, text=attack)
    page = owner_client.get("/shop/texts/?key=terms&language=en").content.decode()
    assert "<script>alert" not in page
    assert "{{ 7*7 }}" in page


def test_page_asks_the_database_as_often_for_many_versions(
    owner_client, django_assert_max_num_queries
):
    for back in range(30):
        row = PaperText(key="terms", language="en", text=f"Number {back}",
                        valid_from=TODAY - (30 - back) * DAY)  # fmt: skip
        save_text(row, today=TODAY, before=seen())
    with django_assert_max_num_queries(9):
        owner_client.get("/shop/texts/")


def test_settings_lead_to_the_texts_and_to_an_adviser(owner_client):
    page = owner_client.get("/shop/")
    assert 'href="/shop/texts/"' in page.content.decode()
    assert "A setting, no advice: check it with your adviser" in text_of(page)
