"""The whole chain on the command line: what it prints, and that its sums agree."""

import re
from decimal import ROUND_HALF_UP, Decimal

import pytest

from quotes.estimate.text import table
from tests.quotes.estimates import CLEANED, JOB, as_json, changed, run

__all__ = ["as_json", "run"]

CENT = Decimal("0.01")

KNIFE_KEYS = {
    "name", "blade_g", "knife_g", "knife_g_low", "knife_g_high", "blank_g",
    "needed_g", "balance_mm",
}  # fmt: skip
PLAN_KEYS = {
    "start_g", "bar_g", "bar_g_p10", "bar_g_p90", "chance", "retained", "layers",
    "distinct_layers", "heats", "forge_minutes", "attended_hours", "gas_kg", "loss_g",
    "steps", "verdict",
}  # fmt: skip
STEP_KEYS = {
    "name", "mass_g", "length_mm", "width_mm", "thickness_mm", "layers",
    "distinct_layers", "heats", "minutes",
}  # fmt: skip
LINE_KEYS = {"key", "label", "quantity", "unit", "rate", "amount"}


# --- what JSON holds ---------------------------------------------------------------


def test_json_holds_what_it_promises(as_json):
    done = as_json(JOB)
    assert {"knives", "plan", "cost", "price", "warnings", "seed"} <= set(done)
    assert all(set(knife) >= KNIFE_KEYS for knife in done["knives"])
    plan = done["plan"]
    assert set(plan) >= PLAN_KEYS
    assert list(plan["loss_g"]) == [
        "weld_scale", "draw_scale", "trim", "grind", "kerf", "pattern",
    ]  # fmt: skip
    assert all(set(step) >= STEP_KEYS for step in plan["steps"])
    assert set(plan["verdict"]) >= {"enough", "spare_g"}
    assert all(set(line) >= LINE_KEYS for line in done["cost"]["lines"])
    assert set(done["price"]) >= {"net", "tax", "total", "currency"}
    assert all(set(one) >= {"field", "message"} for one in done["warnings"])
    assert isinstance(done["seed"], int)


def test_quantities_are_numbers_and_money_is_text(as_json):
    done = as_json(JOB)
    for knife in done["knives"]:
        assert all(isinstance(knife[key], float) for key in KNIFE_KEYS - {"name"})
    sizes = STEP_KEYS - {"name", "layers", "distinct_layers"}
    for step in done["plan"]["steps"]:
        assert all(isinstance(step[key], float) for key in sizes)
    for line in done["cost"]["lines"]:
        assert all(isinstance(line[key], str) for key in LINE_KEYS)
    assert done["price"]["currency"] == "EUR"
    assert re.fullmatch(r"\d+\.\d\d", done["price"]["total"])


def test_steps_are_told_in_order(as_json):
    steps = as_json(JOB)["plan"]["steps"]
    assert [step["name"] for step in steps] == [
        "start", "weld", "draw", "trim", "grind", "cut", "weld", "draw",
    ]  # fmt: skip
    assert [step["layers"] for step in steps] == [11] * 5 + [33] * 3
    assert steps[-1]["distinct_layers"] == 31  # equal steels meet at two seams


def test_a_knife_without_a_name_is_called_by_its_family(as_json):
    names = [knife["name"] for knife in as_json(JOB)["knives"]]
    assert names == ["Slicer for Jory", "petty 2"]


def test_warnings_name_a_key_of_the_file(as_json):
    warm = changed('do = "weld"', 'do = "weld"\ntemperature = "1245 °C"')
    warnings = {one["field"]: one["message"] for one in as_json(warm)["warnings"]}
    assert "1,245 °C" in warnings["steps[1].temperature"]
    wide = changed('width = "30 mm"', 'width = "55 mm"')
    assert "steps[7].width" in {one["field"] for one in as_json(wide)["warnings"]}


def test_unlikely_gas_is_warned_of_with_its_key(as_json):
    """Common practice, no source: the steel takes 1 to 10 % of the heat."""
    assert 0.01 <= as_json(JOB)["plan"]["heat_in_steel"] <= 0.10
    thirsty = as_json(JOB + '[equipment]\ngas_rate = "40 kg/h"\n')
    assert thirsty["plan"]["heat_in_steel"] < 0.01
    assert "equipment.gas_rate" in {one["field"] for one in thirsty["warnings"]}


# --- what adds up ------------------------------------------------------------------


@pytest.mark.parametrize("text", [JOB, CLEANED], ids=["forged", "cleaned"])
def test_no_steel_is_made_or_lost_unsaid(as_json, text):
    """Conservation of mass: the stack is the bar and all that was lost."""
    plan = as_json(text)["plan"]
    end = plan["bar_g"] if plan["clean_g"] is None else plan["clean_g"]
    assert plan["start_g"] == pytest.approx(end + sum(plan["loss_g"].values()))
    assert plan["retained"] == pytest.approx(end / plan["start_g"])
    by_step = [plan["start_g"] - step["mass_g"] for step in plan["steps"]]
    lost = [step["lost_g"] for step in plan["steps"]]
    assert by_step[-1] == pytest.approx(sum(lost))
    assert by_step == sorted(by_step)


def test_bar_is_what_the_last_draw_leaves(as_json):
    forged, cleaned = as_json(JOB)["plan"], as_json(CLEANED)["plan"]
    assert cleaned["bar_g"] == pytest.approx(forged["bar_g"])
    assert cleaned["clean_g"] < cleaned["bar_g"]
    assert forged["clean_g"] is None
    assert forged["steps"][-1]["mass_g"] == pytest.approx(forged["bar_g"])


def test_volume_times_density_is_the_mass_of_every_step(as_json):
    """Conservation: 7.85 g/cm^3 for both steels."""
    for step in as_json(JOB)["plan"]["steps"]:
        volume = step["length_mm"] * step["width_mm"] * step["thickness_mm"]
        assert step["mass_g"] == pytest.approx(volume * 7.85e-3, rel=2e-3)


def test_every_amount_is_quantity_times_rate_half_up(as_json):
    for line in as_json(JOB)["cost"]["lines"]:
        product = Decimal(line["quantity"]) * Decimal(line["rate"])
        whole = product / 100 if line["unit"] == "%" else product
        assert Decimal(line["amount"]) == whole.quantize(CENT, ROUND_HALF_UP)


def test_lines_add_up_to_the_price(as_json):
    done = as_json(JOB)
    cost, price = done["cost"], done["price"]
    *direct, failures = [Decimal(line["amount"]) for line in cost["lines"]]
    assert sum(direct) == Decimal(cost["direct"])
    assert sum(direct) + failures == Decimal(cost["total"])
    assert Decimal(cost["total"]) + Decimal(price["margin"]) == Decimal(price["net"])
    net, tax = Decimal(price["net"]), Decimal(price["tax"])
    assert tax == (net * Decimal("0.19")).quantize(CENT, ROUND_HALF_UP)
    assert net + tax == Decimal(price["total"])
    assert sum(Decimal(one["total"]) for one in cost["knives"]) == net + tax


def test_prices_of_the_file_are_charged(as_json):
    lines = as_json(JOB)["cost"]["lines"]
    rates = {(line["key"], line["subject"]): line["rate"] for line in lines}
    assert rates["steel", "15N20 (75Ni8)"] == "17.20"
    assert rates["handle", "Slicer for Jory"] == "21.50"


def test_steel_is_charged_whole_lost_or_not(as_json):
    """Bars are bought as wide as the stack here, so their mass is the stack's."""
    done = as_json(JOB)
    steel = [line for line in done["cost"]["lines"] if line["key"] == "steel"]
    bought = sum(float(line["quantity"]) for line in steel)
    assert bought == pytest.approx(done["plan"]["start_g"] / 1000, abs=1.5e-3)


# --- chance and fit ----------------------------------------------------------------


@pytest.mark.parametrize("length", range(60, 161, 10))
def test_spare_and_chance_agree(as_json, length):
    """A bar has steel to spare at the chance asked for, or it is not enough."""
    plan = as_json(changed('"150 mm"', f'"{length} mm"'))["plan"]
    verdict = plan["verdict"]
    assert verdict["enough"] == (plan["chance"] >= 0.80)
    assert verdict["enough"] == (verdict["spare_g"] >= 0)
    assert bool(verdict["failing"]) != verdict["enough"]


def test_needed_is_what_the_knives_need_together(as_json):
    done = as_json(JOB)
    needed = sum(knife["needed_g"] for knife in done["knives"])
    assert done["plan"]["verdict"]["needed_g"] == pytest.approx(needed)


@pytest.mark.parametrize(("options", "asked"), [((), 0.80), (("95",), 0.95)])
def test_fit_is_the_least_whole_millimetre(as_json, options, asked):
    plan = as_json(JOB, "--fit", *options)["plan"]
    fit = plan["fit"]
    assert fit["asked"] == asked
    assert isinstance(fit["length_mm"], int)
    assert plan["steps"][0]["length_mm"] == pytest.approx(fit["length_mm"])
    assert plan["chance"] == pytest.approx(fit["chance"])
    assert fit["chance"] >= asked
    assert fit["median_length_mm"] <= fit["length_mm"]
    shorter = as_json(changed('"150 mm"', f'"{fit["length_mm"] - 1} mm"'))
    assert shorter["plan"]["chance"] < asked


def test_same_seed_same_answer(run):
    assert run(JOB, "--json", "--fit") == run(JOB, "--json", "--fit")
    assert run(JOB) == run(JOB)


# --- text --------------------------------------------------------------------------


def test_text_says_what_a_smith_asks_for(run):
    status, out, err = run(JOB, "--fit", "85")
    assert (status, err) == (0, "")
    for words in (
        "Slicer for Jory: sujihiki, 245 mm", "Enough with a chance of", "Uncalibrated",
        "With that the chance is 85.", "if all goes as planned", "Forged bar",
        "Share kept",
        "Attended at the forge", "33 layers by multiplication, 31 can be told apart",
        "Cut and restack", "Bench work", "Margin", "Tax 19 %", "Price", "Deposit",
        "Rates: shipped", "Seed 20260101, 4,000 draws.",
    ):  # fmt: skip
        assert words in out
    assert "{" not in out
    assert "nan" not in out.lower().split()


def test_text_tells_bands_of_hours_and_gas(run):
    _status, out, _err = run(JOB)
    for label in ("Attended at the forge", "Gas", "Billet: stack", "All together"):
        line = next(one for one in out.splitlines() if one.startswith(label))
        assert " to " in line


def test_text_and_json_tell_one_price(run, as_json):
    done = as_json(JOB)
    _status, out, _err = run(JOB)
    for amount in (done["price"]["total"], done["cost"]["knives"][1]["total"]):
        assert f"€{Decimal(amount):,}" in out


def test_text_says_which_bar_is_left_when_it_is_cleaned(run):
    assert "ground after it" in run(CLEANED)[1]
    assert "ground after it" not in run(JOB)[1]


def test_text_says_when_a_bar_is_short(run):
    assert "Short by " in run(changed('"150 mm"', '"60 mm"'))[1]


def test_rates_of_the_job_are_named(run, as_json):
    text = JOB + '[rates]\nlabour = "61"\nmargin = "12,5 %"\n'
    assert "For this job only: " in run(text)[1]
    assert "For this job only" not in run(JOB)[1]
    done = as_json(text)
    assert done["rates"]["overridden"] == ["labour", "margin"]
    labour = next(one for one in done["cost"]["lines"] if one["key"] == "labour")
    assert labour["rate"] == "61"


def test_columns_stand_below_one_another():
    rows = list(table([("a", "1"), ("longer", "1,000")]))
    assert len(set(map(len, rows))) == 1
    assert rows[0].endswith("    1")


def test_full_tang_and_no_ferrule_can_be_said(as_json):
    """What goes with a tang is filled in, so that one word is enough."""
    full = as_json(changed('family = "petty"', 'family = "petty"\ntang = "full"'))
    plain = as_json(JOB)
    assert full["knives"][1]["knife_g"] > plain["knives"][1]["knife_g"]
    bare = as_json(changed('family = "petty"', 'family = "petty"\nferrule = "none"'))
    assert bare["knives"][1]["knife_g"] != plain["knives"][1]["knife_g"]
