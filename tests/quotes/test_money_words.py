"""Amounts and days as each language writes them.

Signs, separators and order are those of the Unicode CLDR for English as in Britain and
for German (from memory); Babel carries its data.
"""

import datetime as dt
from decimal import Decimal

import pytest
from babel.numbers import get_currency_precision
from django.utils import translation

from quotes.money import EXPONENTS, cent
from quotes.wording import long_day, money_text, rate_text
from shop.choices import currency as shop_currencies

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("language", "currency", "amount", "written"),
    [
        ("en", "EUR", "1234.50", "€1,234.50"),
        ("de", "EUR", "1234.50", "1.234,50 €"),
        ("en", "CHF", "1234.50", "CHF 1,234.50"),
        ("de", "CHF", "1234.50", "1.234,50 CHF"),
        ("en", "USD", "1234567.89", "US$1,234,567.89"),
        ("de", "USD", "1234567.89", "1.234.567,89 $"),
        ("en", "GBP", "0.05", "£0.05"),
        ("de", "GBP", "0.05", "0,05 £"),
        ("en", "SEK", "99.90", "SEK 99.90"),
        ("de", "PLN", "99.90", "99,90 PLN"),
        ("en", "EUR", "-153.58", "−€153.58"),
        ("de", "EUR", "-153.58", "−153,58 €"),
        ("en", "DKK", "-153.58", "−DKK 153.58"),
        ("en", "JPY", "1234", "JP¥1,234"),
        ("de", "JPY", "1234", "1.234 ¥"),
        ("en", "KWD", "1.234", "KWD 1.234"),
        ("de", "KWD", "1.234", "1,234 KWD"),
    ],
)
def test_amount_is_written_as_its_reader_expects(language, currency, amount, written):
    with translation.override(language):
        said = money_text(Decimal(amount), currency)
    assert said.replace(NBSP, " ") == written
    assert " " not in said  # no line may part a number from its currency


def test_rate_has_its_space_as_well():
    with translation.override("en"):
        assert rate_text(Decimal("61.2500"), "NOK") == f"NOK{NBSP}61.25"


@pytest.mark.parametrize("code", [code for code, _label in shop_currencies()])
def test_every_currency_of_a_shop_keeps_its_smallest_coin(code):
    """Outside check: Babel's table of ISO 4217 has the same decimal places."""
    assert EXPONENTS[code] == get_currency_precision(code)
    for language, mark in (("en", "."), ("de", ",")):
        with translation.override(language):
            said = money_text(cent(code), code)
        assert f"0{mark}01" in said


@pytest.mark.parametrize("code", sorted(EXPONENTS))
def test_known_places_are_those_of_the_standard(code):
    """Outside check: ISO 4217 as Babel carries it."""
    assert EXPONENTS[code] == get_currency_precision(code)


@pytest.mark.parametrize(
    ("language", "written"), [("en", "2 March 2026"), ("de", "2. März 2026")]
)
def test_day_on_a_paper_is_written_in_full(language, written):
    with translation.override(language):
        assert long_day(dt.date(2026, 3, 2)) == written
