"""What a knife is against the usual one, and hours that follow it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from billets.physics.blade import sum_blade
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec, spec_blade
from quotes.drivers import DRIVERS, driver
from quotes.hours import billet_hours, estimates, knife_hours
from quotes.pricing import BilletPlace, knife_job, prices_in
from quotes.rates import check_rate, overridden, shipped_rates
from shop import stages
from shop.learning import forecast, prior, updated
from tests.quotes.builders import billet, job, knife, rates

USUAL = {
    "area": Decimal(83), "blank": Decimal("0.236"), "ground": Decimal("0.105"),
}  # fmt: skip


def of(row, **changes):
    return driver(row, shipped_rates(), knife(**{**USUAL, **changes}))


def taught(row, *logs, mean=4.0, count_worth=3):
    """Rates of a shop whose knives taught one row."""
    known = forecast(updated(prior(mean, (0.3 * mean) ** 2, count_worth), logs))
    return replace(shipped_rates(), learned={row: known}), known


def hours_of(one, shop):
    return {each.row: each for each in estimates(one, shop)}


# --- drivers ------------------------------------------------------------------------


def test_every_row_of_hours_has_a_driver():
    assert set(DRIVERS) == set(stages.HOURS_ROWS)


@pytest.mark.parametrize("row", list(stages.HOURS_ROWS))
def test_usual_knife_takes_the_hours_of_the_rates(row):
    assert of(row) == 1
    assert driver(row, shipped_rates(), knife()) == 1  # as one whose size is not told


def test_shipped_usual_knife_is_a_chefs_knife_of_220():
    """The knife the hours are told for, weighed by the geometry itself."""
    spec = default_spec("gyuto", 0.220)
    weighed, shop = weigh_knife(spec), shipped_rates()
    area = sum_blade(spec_blade(spec)).outline_area
    ground = weighed.blank.mass - weighed.steel_mass
    assert float(shop.value("usual_area")) == pytest.approx(area * 1e4, rel=0.01)
    assert float(shop.value("usual_blank")) == pytest.approx(
        weighed.blank.mass * 1e3, rel=0.01
    )
    assert float(shop.value("usual_ground")) == pytest.approx(ground * 1e3, rel=0.01)
    told = knife_job("usual", spec, weighed, prices=prices_in({}),
                     billet=BilletPlace(place=0, clean=False))  # fmt: skip
    for row in stages.HOURS_ROWS:
        assert float(driver(row, shop, told)) == pytest.approx(1, rel=0.01)


def test_forging_goes_with_the_blank():
    assert of("blade_forging", blank=Decimal("0.472")) == 2
    assert of("blade_forging", area=Decimal(166), ground=Decimal("0.2")) == 1


def test_finishing_goes_with_the_side():
    assert of("hand_finish", area=Decimal("41.5")) == Decimal("0.5")
    assert of("hand_finish", ground=Decimal("0.5"), blank=Decimal(1)) == 1


def test_grinding_goes_with_side_and_steel_in_the_shops_shares():
    assert of("grind", area=Decimal(166)) == Decimal("1.5")
    assert of("grind", ground=Decimal("0.21")) == Decimal("1.5")
    big = knife(area=Decimal(166), ground=Decimal("0.105"))
    assert driver("grind", rates(area_share="100"), big) == 2
    assert driver("grind", rates(area_share="0"), big) == 1


def test_hardening_and_sharpening_know_no_size():
    for row in ("harden", "sharpen", "billet"):
        assert of(row, area=Decimal(200), blank=Decimal(1)) == 1


@pytest.mark.parametrize("key", ["usual_area", "usual_blank", "usual_ground"])
def test_usual_knife_of_no_size_is_refused(key):
    with pytest.raises(ValueError, match="above zero") as refused:
        check_rate(key, Decimal(0))
    assert refused.value.field == key


@pytest.mark.parametrize("worth", ["1.9", "5.1", "0"])
def test_worth_of_the_three_points_is_refused_outside_its_limits(worth):
    with pytest.raises(ValueError, match="from 2 to 5") as refused:
        check_rate("hours_worth", Decimal(worth))
    assert refused.value.field == "hours_worth"
    check_rate("hours_worth", Decimal(2))


# --- hours that follow ---------------------------------------------------------------


def test_a_bigger_knife_takes_longer_where_size_is_felt():
    one, big = (
        knife_hours(job(), shipped_rates(), knife(**USUAL | more))
        for more in ({}, {"area": Decimal(166), "blank": Decimal("0.472")})
    )
    assert big["hand_finish"] == 2 * one["hand_finish"]
    assert big["blade_forging"] == 2 * one["blade_forging"]
    assert big["sharpen"] == one["sharpen"]


def test_learned_hours_take_the_place_of_the_three_points():
    shop, known = taught("grind", 1.0, 1.1, 1.2, 1.3)
    made = hours_of(job(), shop)["grind"]
    told = tuple(map(float, (made.expected, made.low, made.p80, made.high)))
    assert told == pytest.approx(
        (known.mean, known.low, known.p80, known.high), abs=1e-4
    )
    assert made.count == 4
    assert hours_of(job(), shop)["handle"].count == 0


def test_learned_hours_follow_the_driver_with_their_band():
    shop, known = taught("hand_finish", 0.7, 0.6, 0.9)
    big = job(knives=(knife(**USUAL | {"area": Decimal(166)}),))
    made = hours_of(big, shop)["hand_finish"]
    assert float(made.expected) == pytest.approx(2 * known.mean, abs=1e-3)
    assert float(made.p80) == pytest.approx(2 * known.p80, abs=1e-3)


def test_several_knives_scatter_less_than_one():
    """Law: of independent parts the relative spread of a sum is smaller."""
    shop, known = taught("grind", 1.0, 1.2, 1.4)
    pair = job(knives=(knife(name="a"), knife(name="b")))
    made = hours_of(pair, shop)["grind"]
    assert float(made.expected) == pytest.approx(2 * known.mean, abs=1e-3)
    assert float(made.high / made.expected) < known.high / known.mean


def test_billet_takes_what_was_learned_as_a_factor_on_its_plan():
    shop, known = taught("billet", 0.2, 0.3, 0.25, mean=1.0)
    told = billet(hours=Decimal("4.25"), model_hours=Decimal(5))
    assert float(billet_hours(shop, told)) == pytest.approx(5 * known.mean, rel=1e-6)
    made = hours_of(job(billets=(told,)), shop)["billet"]
    assert (made.count, float(made.high)) == (
        3,
        pytest.approx(5 * known.high, rel=1e-4),
    )


def test_billet_of_which_the_model_says_nothing_keeps_its_hours():
    shop, _known = taught("billet", 0.2, mean=1.0)
    assert billet_hours(shop, billet()) == Decimal("4.25")
    made = hours_of(job(), shop)["billet"]
    assert (made.count, made.expected) == (0, Decimal("4.25"))


def test_untaught_hours_do_not_exceed_their_p80_four_times_in_five():
    """Lognormal with the moments of the three points (scipy's in test_pert)."""
    for made in estimates(job(), shipped_rates()):
        assert made.low < made.expected < made.p80 < made.high
        assert made.count == 0


def test_hours_told_for_one_knife_win():
    shop, _known = taught("grind", 1.0, 1.1)
    told = knife(hours={"grind": Decimal("2.5")})
    made = hours_of(job(knives=(told,)), shop)["grind"]
    assert (made.expected, made.count) == (Decimal("2.5"), 0)


def test_points_told_for_one_job_win_over_what_was_learned():
    shop, _known = taught("grind", 1.0, 1.1)
    own = overridden(shop, {"hours_grind_likely": Decimal(6)})
    assert "grind" not in own.learned
    assert "grind" in overridden(shop, {"labour": Decimal(60)}).learned
