"""Heating and gas on the page of a billet."""

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from billets.figures import figures_of
from billets.gas_words import SOURCES, gas_block
from billets.models import Equipment
from billets.physics.gas_rate import rate_source
from billets.services import core_forge
from billets.wording import flag_sayings
from tests.billets.typing_in import plain
from tests.factories import EquipmentFactory

pytestmark = pytest.mark.django_db

HOUR = 3600.0


def told(plan, **values):
    """The plan with its forge told this much."""
    Equipment.objects.filter(pk=plan.forge_id).update(**values)
    plan.forge.refresh_from_db()
    return figures_of(plan)


def figure(block, label):
    (found,) = (one for one in block.figures if label in one.label)
    return found


def warnings(figures):
    """What stands at the head of the page."""
    return " ".join(plain(one.first) for one in flag_sayings(figures.flags, "metric"))


def text(figure):
    return plain(f"{figure.value} {figure.unit} {figure.band} {figure.source}")


# --- from the row to the core --------------------------------------------------------


def test_rate_as_weighed_counts_first(plan):
    jets = {"jets": 2, "jet_bore": 0.9e-3, "gas_pressure": 0.5e5}
    assert told(plan, **jets).spec.forge.gas_rate == pytest.approx(
        2 * 0.785 / HOUR, rel=3e-3
    )
    weighed = told(plan, **jets, gas_rate=1.1 / HOUR).spec.forge
    assert (weighed.gas_rate, weighed.weighed) == (1.1 / HOUR, True)


def test_forge_nobody_measured_burns_the_usual():
    forge = core_forge(EquipmentFactory())
    assert (HOUR * forge.gas_rate, rate_source(forge)) == (pytest.approx(1.5), "usual")


# --- figures -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "source"),
    [
        ({}, "not measured"), ({"gas_rate": 1.1 / HOUR}, "As weighed"),
        ({"jet_bore": 1.1e-3, "gas_pressure": 0.7e5}, "either way by 25 %"),
    ],
)  # fmt: skip
def test_rate_says_where_it_comes_from(plan, values, source):
    block = gas_block(told(plan, **values), "metric")
    assert source in text(figure(block, "while lit"))


def test_every_source_has_its_words():
    assert set(SOURCES) == {"weighed", "jets", "usual"}


def test_minutes_add_up_to_the_time_lit(plan):
    """Conservation: warming up, fire and tool are all there is."""
    found = figures_of(plan)
    said = text(figure(gas_block(found, "metric"), "for this plan"))
    whole, *parts = (int(one) for one in (w for w in said.split() if w.isdigit()))
    assert whole == pytest.approx(found.plain.forge_seconds / 60, abs=0.5)
    assert sum(parts[:3]) == pytest.approx(whole, abs=1.5)


def test_bottles_are_said_in_hours_and_share(plan):
    block = gas_block(told(plan, bottle=11.0, bottles=2), "metric")
    assert block.bottle
    assert "13.25 h" in text(figure(block, "last"))  # 0.9 x 22 kg at 1.5 kg/h
    assert "2 bottles of 11 kg coupled" in text(figure(block, "last"))
    assert "0.60 without a pause" in text(figure(block, "give for long"))


def test_without_a_bottle_nothing_is_said_of_it(plan):
    block = gas_block(figures_of(plan), "metric")
    assert not block.bottle
    assert not [one for one in block.figures if "last" in one.label]


def test_warning_names_the_draw_the_limit_and_the_way_out(plan):
    cold = told(plan, bottle=5.0, air_temperature=268.15)
    said = warnings(cold)
    assert "At -5 °C half-full gas bottles" in said
    assert "the forge draws 1.50 kg/h" in said
    assert "Couple" in said
    assert "Never heat a bottle" in said


def test_bottle_smaller_than_a_session_is_told_in_kilograms(plan):
    said = warnings(told(plan, bottle=1.2))
    assert "more than the 1.1 kg there is to be had" in said
    assert "each of 1.2 kg" in said


def test_inch_shop_reads_pounds_and_fahrenheit(plan):
    found = told(plan, bottle=9.07, jet_bore=1.12e-3, gas_pressure=55e3)
    block = gas_block(found, "inch")
    said = " ".join(map(text, block.figures))
    for part in ("lb/h", "0.0441 in", "psi", "59 °F", "lb"):
        assert part in said
    assert "kg" not in said


# --- heat by heat --------------------------------------------------------------------


def test_every_step_in_the_fire_has_its_row(plan):
    found = figures_of(plan)
    rows = gas_block(found, "metric").rows
    assert [row.number for row in rows] == [1, 2, 4, 5]
    assert [bool(row.hold) for row in rows] == [True, False, True, False]
    assert rows[0].hold.startswith("1.5")


def test_minutes_of_a_heat_times_heats_are_the_minutes_of_the_step(plan):
    """Round trip, to what rounding a tenth of a minute leaves."""
    found = figures_of(plan)
    for row in gas_block(found, "metric").rows:
        result = found.plain.steps[row.number]
        heats = int(row.heats)
        for shown, seconds in (
            (row.fire, result.heating_seconds), (row.working, result.working_seconds),
        ):  # fmt: skip
            minutes = float(shown.split("\N{NO-BREAK SPACE}")[0])
            assert heats * minutes * 60 == pytest.approx(seconds, abs=3.1 * heats)


def test_a_hotter_wall_heats_faster(plan):
    def fire(wall):
        row = gas_block(told(plan, wall_temperature=wall), "metric").rows[0]
        return float(row.fire.split("\N{NO-BREAK SPACE}")[0])

    assert fire(1650.0) < fire(1550.0)


# --- on the page ---------------------------------------------------------------------


def page(plan, found, forge="forge"):
    values = {
        "form": {"forge": {"value": plan.forge_id if forge == "forge" else forge}}
    }
    return render_to_string("billets/_gas.html", {"found": found, **values})


def test_block_leads_to_the_page_of_the_forge(plan):
    html = page(plan, gas_block(figures_of(plan), "metric"))
    assert f'href="/forges/{plan.forge_id}/gas/"' in html
    assert "Minutes of one heat, the forge wall at 1,300 °C" in plain(html)
    assert "style=" not in html


@pytest.mark.parametrize("odd", [None, "", "abc", "-1"])
def test_block_of_no_forge_has_no_link(plan, odd):
    assert "href" not in page(plan, gas_block(figures_of(plan), "metric"), odd)


def test_german_numbers(plan):
    with translation.override("de"):
        block = gas_block(figures_of(plan), "metric")
        assert any("," in one.value for one in block.figures)


def test_sampled_and_plain_plans_burn_about_the_same(plan):
    found = figures_of(plan)
    band = found.sampled.totals["gas"]
    assert band.low < float(found.plain.gas) < band.high
