"""Names, notes and days as people type them."""

import datetime as dt

import pytest
from django import forms
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from billets.fields import DateField, TextCleanField
from billets.text import clean_text

TODAY = dt.date(2026, 11, 25)


def day_box(**kwargs):
    return DateField(today=lambda: TODAY, **kwargs)


def said_about(field, text):
    with pytest.raises(ValidationError) as caught:
        field.clean(text)
    return caught.value.messages[0]


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("  Ada  ", "Ada"), ("A\x00da\x07", "Ada"), ("Ada\u202eadA", "AdaadA"),
        ("Zoe\u0308", "Zoë"), ("O'Neil-Łuk", "O'Neil-Łuk"), ("Nguyễn", "Nguyễn"),
        ("Groß", "Groß"), ("李", "李"), ("👩‍🔧 Mia", "👩‍🔧 Mia"),
        ("\ud800Ada", "\ufffdAda"),
        ("Ada\r\nBcc: x@y", "Ada Bcc: x@y"), ("<b>&amp;", "<b>&amp;"),
        ("{{7*7}}", "{{7*7}}"), ("می\u200cخواهم", "می\u200cخواهم"),
    ],
)  # fmt: skip
def test_name_is_cleaned_and_kept(text, kept):
    assert TextCleanField().clean(text) == kept


@pytest.mark.parametrize(
    "text",
    ["", " ", "\u200b", "\u200d\u200c", "\u202e", "\x00", "\u3164", "\u2800", "\u0301"],
)  # fmt: skip
def test_name_nobody_can_see_is_refused(text):
    assert said_about(TextCleanField(), text) == "This box is empty: fill it in."
    assert TextCleanField(required=False).clean(text) == ""


def test_note_keeps_its_lines():
    note = TextCleanField(widget=forms.Textarea)
    assert note.clean("one\r\ntwo\rthree\u2028four") == "one\ntwo\nthree\nfour"


def test_limit_is_a_sentence_and_cuts_nothing():
    class Form(forms.Form):
        note = TextCleanField(max_length=4000, widget=forms.Textarea)

    text = "x" * 100_000
    form = Form({"note": text})
    assert form.errors["note"] == ["Use at most 4,000 signs here: this has 100,000."]
    assert text in str(form["note"])
    assert "maxlength" not in str(form["note"])


@given(st.text())
def test_cleaning_twice_changes_nothing_more(text):
    once = clean_text(text, lines=True)
    assert clean_text(once, lines=True) == once
    once.encode("utf-8")
    assert "\x00" not in once


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-11-25", (2026, 11, 25)), ("25.11.2026", (2026, 11, 25)),
        ("5. 1. 2027", (2027, 1, 5)), ("05.01.27", (2027, 1, 5)),
        ("25/11/2026", (2026, 11, 25)), ("11/25/2026", (2026, 11, 25)),
        ("05/05/2027", (2027, 5, 5)), ("1990-01-01", (1990, 1, 1)),
        ("2036-11-25", (2036, 11, 25)), (" 2028-02-29 ", (2028, 2, 29)),
    ],
)  # fmt: skip
def test_day_is_read(text, day):
    assert day_box().clean(text) == dt.date(*day)


@pytest.mark.parametrize(
    "text",
    ["0001-01-01", "9999-12-31", "1989-12-31", "2036-11-26", "1.1.89"],
)  # fmt: skip
def test_day_out_of_range_is_refused(text):
    said = said_about(day_box(), text)
    assert said == "Type a date from 1 January 1990 to 25 November 2036."


@pytest.mark.parametrize(
    "text",
    ["0000-00-00", "2026-02-30", "30.02.2026", "31/31/2026", "2026-13-01", "tomorrow",
     "2026", "２０２６-11-25", "2026-11-25T10:00", "9" * 5000],
)  # fmt: skip
def test_day_that_is_none_is_refused(text):
    assert "no day of the calendar" in said_about(day_box(), text)


def test_day_that_reads_two_ways_is_shown_in_words():
    assert said_about(day_box(), "03/04/2026") == (
        "“03/04/2026” can be read two ways: type 2026-03-04 for 4 March 2026 or "
        "2026-04-03 for 3 April 2026."
    )


def test_leap_day_still_has_ten_years_ahead():
    box = DateField(today=lambda: dt.date(2028, 2, 29))
    assert box.clean("2038-02-28") == dt.date(2038, 2, 28)


def test_day_is_shown_as_it_is_read():
    class Form(forms.Form):
        day = day_box(required=False)

    form = Form(initial={"day": dt.date(2026, 11, 5)})
    assert 'value="2026-11-05"' in str(form["day"])
    assert Form({"day": ""}).is_valid()
