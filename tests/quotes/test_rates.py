"""Rates: all there, none guessed, each refusal naming the rate."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from quotes.errors import QuoteError
from quotes.rate_items import GROUPS, ITEM_OF, RATE_ITEMS
from quotes.rates import REGIMES, Tax, overridden, rates_from, shipped_rates
from shop import stages
from tests.quotes.builders import DAY, rates, without

STANDARD = Tax(regime="standard", percent=Decimal(19), valid_from=DAY)


def test_every_item_has_a_label_and_a_group_and_stands_there_once():
    assert len(ITEM_OF) == len(RATE_ITEMS)
    assert {item.group for item in RATE_ITEMS} == set(GROUPS)
    assert all(item.label for item in RATE_ITEMS)
    assert all(len(item.key) <= 60 for item in RATE_ITEMS)  # the column of the rows


def test_shipped_values_fit_a_column_of_four_decimals():
    assert all(item.default == round(item.default, 4) for item in RATE_ITEMS)


def test_shipped_hours_are_those_of_the_trade():
    """A chef's knife, common practice, no source: least 11, likely 20, most 40 h."""
    rows = [shipped_rates().hours(row) for row in stages.HOURS_ROWS]
    assert sum(row.least for row in rows) == 11
    assert sum(row.likely for row in rows) == 20
    assert sum(row.most for row in rows) == 40
    assert float(sum(row.mean for row in rows)) == pytest.approx(21.8333, abs=1e-4)


def test_shipped_chain_starts_a_knife_again_until_it_is_hard():
    """Practice values, no source: later failures are mended where they happen."""
    links = shipped_rates().chain()
    good = [str(link.success) for link in links]
    assert good == ["0.89", "0.98", "0.94", "0.99", "0.98", "0.995"]
    assert [link.restart for link in links] == [0, 0, 0, 3, 4, 5]


def test_a_shops_rates_are_not_filled_up_from_the_shipped_ones():
    own = rates_from(
        {"labour": Decimal(62)}, currency="CHF", valid_from=DAY, tax=STANDARD
    )
    assert (own.value("labour"), own.source, own.valid_from) == (62, "shop", DAY)
    with pytest.raises(QuoteError) as refused:
        own.value("gas")
    assert refused.value.field == "gas"
    assert refused.value.values["rate"] == "Propane"


def test_a_missing_hour_names_its_point():
    with pytest.raises(QuoteError) as refused:
        without("hours_grind_most").hours("grind")
    assert refused.value.field == "hours_grind_most"


def test_a_job_may_bring_rates_and_they_are_told():
    changed = overridden(shipped_rates(), {"gas": Decimal("2.90")})
    assert changed.value("gas") == Decimal("2.90")
    assert (changed.source, changed.overridden) == ("shipped", ("gas",))
    assert shipped_rates().value("gas") != Decimal("2.90")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("margin", "100"), ("margin", "250"), ("margin", "-1"), ("deposit", "101"),
        ("labour", "-0.01"), ("hours_grind_likely", "-5"), ("success_grind", "0"),
        ("success_grind", "100.5"), ("use_coarse", "0"), ("use_medium", "0"),
        ("restart_forge", "2"), ("restart_harden", "4"), ("restart_harden", "0"),
        ("restart_harden", "1.5"), ("gas", "NaN"), ("gas", "Infinity"),
        ("no_such_rate", "1"),
    ],
)  # fmt: skip
def test_an_impossible_rate_is_refused_by_name(key, value):
    with pytest.raises(QuoteError) as refused:
        rates(**{key: value})
    assert refused.value.field == key
    assert "{" in refused.value.message  # constant text, filled in by the page


def test_hours_that_do_not_rise_are_refused_by_name():
    with pytest.raises(QuoteError) as refused:
        rates(hours_grind_likely="2").hours("grind")
    assert refused.value.field == "hours_grind_likely"


def test_an_unknown_currency_is_refused():
    with pytest.raises(QuoteError) as refused:
        replace(shipped_rates(), currency="gold")
    assert refused.value.field == "currency"


@pytest.mark.parametrize("regime", list(REGIMES))
def test_only_the_standard_regime_adds_tax(regime):
    tax = Tax(regime=regime, percent=Decimal(19), valid_from=DAY)
    assert tax.charged == (19 if regime == "standard" else 0)
    assert tax.paper_note


def test_the_shops_own_note_goes_before_the_regimes():
    own = replace(STANDARD, regime="small", note="No VAT, section 19.")
    assert own.paper_note == "No VAT, section 19."


@pytest.mark.parametrize(
    ("regime", "percent", "field"),
    [("", "19", "tax_regime"), ("other", "19", "tax_regime"),
     ("standard", "-1", "tax_rate"), ("standard", "101", "tax_rate")],
)  # fmt: skip
def test_an_impossible_tax_is_refused(regime, percent, field):
    with pytest.raises(QuoteError) as refused:
        Tax(regime=regime, percent=Decimal(percent), valid_from=dt.date(2026, 1, 1))
    assert refused.value.field == field
