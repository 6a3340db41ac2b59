"""What is kept after a cancellation and asked for a change, in sums only."""

from decimal import Decimal

import pytest

from quotes.changes_after.ladder import change_fee, part_price, rung, settled
from quotes.errors import QuoteError
from quotes.ladder_items import LADDER_ITEMS
from quotes.rates import overridden, shipped_rates
from tests.quotes.builders import rates, without

HOURS = {
    "billet": Decimal(5), "blade_forging": Decimal("2.2"), "grind": Decimal("5.5"),
    "harden": Decimal("1.7"), "hand_finish": Decimal("2.2"), "handle": Decimal("4.2"),
    "sharpen": Decimal("1.7"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("act", "cut", "percent"),
    [
        ("cancel", False, "15"), ("cancel", True, "50"),
        ("change", False, "0"), ("change", True, "50"),
    ],
)  # fmt: skip
def test_ladder_is_shipped_as_one_maker_tells_it(act, cut, percent):
    """Cancel before cutting 15 %, after it 50 %; a change before it free, after 50 %.

    Common practice, one maker's custom, no source.
    """
    assert rung(act, shipped_rates(), cut=cut) == Decimal(percent)


def test_each_rung_is_a_rate_of_the_shop():
    for item in LADDER_ITEMS:
        act, _, place = item.key.partition("_")
        own = rates(**{item.key: "33"})
        assert rung(act, own, cut=place == "after") == 33
        with pytest.raises(QuoteError) as told:
            rung(act, without(item.key), cut=place == "after")
        assert told.value.field == item.key
        with pytest.raises(QuoteError):
            overridden(shipped_rates(), {item.key: Decimal(101)})


@pytest.mark.parametrize("paid", ["0", "100", "150", "333.33", "1000", "1200"])
@pytest.mark.parametrize("percent", ["0", "15", "50", "100"])
@pytest.mark.parametrize("handed", ["0", "412.37"])
def test_what_is_paid_is_kept_or_returned_and_no_cent_is_lost(paid, percent, handed):
    """A law: paid + owed = kept + returned, and one of owed and returned is nothing."""
    one = settled(
        Decimal("999.99"), Decimal(paid), Decimal(percent), currency="EUR",
        handed_over=Decimal(handed),
    )  # fmt: skip
    assert one.paid + one.owed == one.kept + one.returned
    assert not (one.owed and one.returned)
    assert min(one.owed, one.returned, one.kept) >= 0


def test_deposit_of_thirty_per_cent_is_half_returned_before_the_steel_is_cut():
    """By hand: of 300 paid on 1,000 the shop keeps 150 before, and lacks 200 after."""
    before, after = (
        settled(Decimal(1000), Decimal(300), Decimal(share), currency="EUR")
        for share in (15, 50)
    )
    assert (before.kept, before.returned, before.owed) == (150, 150, 0)
    assert (after.kept, after.returned, after.owed) == (500, 0, 200)


def test_parts_of_a_knife_share_its_price_out_by_hours():
    parts = [part_price(Decimal(900), HOURS, {row}, "EUR") for row in HOURS]
    assert sum(parts) == pytest.approx(Decimal(900), abs=Decimal("0.03"))
    assert part_price(Decimal(900), HOURS, set(HOURS), "EUR") == 900
    handle = part_price(Decimal(900), HOURS, {"handle"}, "EUR")
    assert handle == Decimal("168.00")  # by hand: 900 × 4.2 / 22.5
    assert change_fee(handle, Decimal(50), "EUR") == Decimal("84.00")


def test_without_hours_the_whole_price_is_at_stake():
    nothing = dict.fromkeys(HOURS, Decimal(0))
    assert part_price(Decimal(900), nothing, {"handle"}, "EUR") == 900
