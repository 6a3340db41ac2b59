"""The page that says how sure a billet is: its numbers."""

import re
from decimal import Decimal

import pytest

from billets.models import Equipment, Plan, ShopFactor
from billets.physics.fit import fit_length
from billets.services import plan_input, plan_spec
from quotes.pricing import rates_on
from quotes.stacks.costs import priced
from quotes.stacks.sureness import sureness_of
from quotes.stacks.unit_costs import unit_costs_on
from shop.models import Rate, Shop
from tests.factories import PlanFactory
from tests.quotes.orders import LONG_AGO, number_in, ready_order, ready_shop, table_rows
from tests.quotes.sure import page_of, stacks
from tests.shop.typing_in import errors_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    ready_shop()
    row = PlanFactory(length=0.1)
    ready_order("One", "Other", plan=row)
    return Plan.objects.get(pk=row.pk)


# --- stacks side by side --------------------------------------------------------------


def test_stacks_stand_side_by_side_and_are_those_of_fitting(owner_client, plan):
    found = stacks(page_of(owner_client, plan))
    assert list(found)[:5] == ["As planned now", "50 %", "80 %", "90 %", "95 %"]
    aims = sureness_of(plan)
    for chance in (0.5, 0.8, 0.9, 0.95):
        fit = fit_length(
            plan_input(plan_spec(plan)), aims.needs.targets, chance=chance,
            seed=plan.seed,
        )  # fmt: skip
        suffices, size, mass, *_rest = found[f"{100 * chance:.0f} %"]
        assert size == f"11 × {1000 * fit.stack.length:.0f} mm"
        assert number_in(suffices) >= 100 * Decimal(str(chance)) - 1
        assert float(number_in(mass)) == pytest.approx(1000 * fit.stack.mass, abs=1)


def test_surer_stacks_weigh_and_leave_over_more(owner_client, plan):
    rows = list(stacks(page_of(owner_client, plan)).values())[1:5]
    for column in (2, 3, 5):
        values = [number_in(row[column]) for row in rows]
        assert values == sorted(values)
        assert values[0] < values[-1]


def test_steel_against_now_is_the_steel_of_a_longer_stack_at_its_price(
    owner_client, plan
):
    """Arithmetic: both steels at 9.25 a kilogram, whole bar widths counted."""
    found = stacks(page_of(owner_client, plan))
    assert found["As planned now"][5] == "€0.00"
    row = found["95 %"]
    longer = int(row[1].split()[2]) / 1000 - 0.1
    section = 0.035 * (6 * 0.0035 + 5 * 0.0018) * 7850
    sign = "+" if longer > 0 else "−"
    assert row[5] == f"{sign}€{abs(longer) * section * 9.25:.2f}"


def test_cost_with_its_risk_is_making_it_and_its_part_of_a_short_one(
    owner_client, plan
):
    """Arithmetic of the row as planned: making + sum × (1 - chance)."""
    found = sureness_of(plan)
    money = priced(found, unit_costs_on(LONG_AGO))
    row = stacks(page_of(owner_client, plan, short="500"))["As planned now"]
    cost = money.making.whole + 500.0 * (1.0 - found.now.chance)
    assert number_in(row[4]) == Decimal(f"{cost:.2f}")


def test_making_is_steel_gas_and_hours_at_their_rates(owner_client, plan):
    """The sums of the sentence add up, and follow the rates of the day."""
    text = text_of(page_of(owner_client, plan))
    whole, steel, gas, hours = (
        number_in(one)
        for one in re.search(
            r"costs (€[\d.,]+) by the rates: steel (€[\d.,]+), [\d.]+ kg of gas "
            r"(€[\d.,]+), [\d.]+ h at the forge (€[\d.,]+)\.",
            text,
        ).groups()
    )
    assert abs(steel + gas + hours - whole) <= Decimal("0.02")
    rates, _prices = rates_on(LONG_AGO)
    Rate.objects.filter(key="labour").update(value=2 * rates.value("labour"))
    dearer = text_of(page_of(owner_client, plan))
    assert f"at the forge €{2 * hours:.2f}"[:-1] in dearer


def test_seed_and_draws_are_shown_and_give_the_same_again(owner_client, plan):
    first, again = (text_of(page_of(owner_client, plan)) for _time in range(2))
    assert first == again
    assert f"Seed {plan.seed}, 4,000 draws" in first


def test_uncalibrated_until_three_billets_are_weighed(owner_client, plan):
    said = "It stays uncalibrated until three billets of this shop have been weighed."
    assert said in text_of(page_of(owner_client, plan))
    for name in ("grind", "scale_strength"):
        ShopFactor.objects.create(name=name, median=0.9, ln_sd=0.2, billets=3)
    text = text_of(page_of(owner_client, plan))
    assert said not in text
    assert "From 3 weighed billets of this shop." in text


def test_what_makes_it_uncertain_is_drawn_and_told(owner_client, plan):
    answer = page_of(owner_client, plan)
    text = text_of(answer)
    assert "Most of it comes from these: strength of scale;" in text
    shares = [
        number_in(row[1]) for row in table_rows(answer)
        if len(row) == 4 and "%" in row[1] and "less" not in row[1]
    ]  # fmt: skip
    assert 95 <= sum(shares) <= 104
    drawing = re.search(r'<svg[^>]*aria-label="([^"]*)"', answer.content.decode())[1]
    assert "Strength of scale" in drawing
    assert "Several of them together" in drawing
    assert "style=" not in answer.content.decode()


def test_inch_shop_is_told_inches_and_ounces(owner_client, plan):
    Shop.objects.filter(pk=1).update(units="inch")
    Shop.objects.get_or_create(pk=1, defaults={"units": "inch"})
    row = stacks(page_of(owner_client, plan))["80 %"]
    assert row[1].endswith(" in")
    assert row[2].endswith(" oz")


# --- the cheapest ---------------------------------------------------------------------


def test_box_holds_what_making_costs_until_told_otherwise(owner_client, plan):
    answer = page_of(owner_client, plan)
    box = Decimal(re.search(r'name="short" value="([^"]*)"', str(answer.content))[1])
    assert f"Making this billet costs €{box} by the rates" in text_of(answer)


def test_dearer_failure_makes_the_cheapest_stack_longer(owner_client, plan):
    lengths = []
    for short in ("60", "200", "900"):
        answer = page_of(owner_client, plan, short=short)
        assert f"If a short billet costs €{short}.00, a stack of" in text_of(answer)
        row = stacks(answer)["Cheapest"]
        lengths.append(int(row[1].split()[2]))
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


def test_cheapest_row_costs_least_of_the_table(owner_client, plan):
    """Law: none of the other stacks comes cheaper, its risk counted in."""
    found = stacks(page_of(owner_client, plan, short="300"))
    costs = {name: number_in(row[4]) for name, row in found.items()}
    assert costs["Cheapest"] == min(costs.values())


def test_formula_stands_beside_the_draws(owner_client, plan):
    for name, row in stacks(page_of(owner_client, plan)).items():
        said = "–" if name == "As planned now" else r"\d+ mm (more|less)|the same"
        assert re.fullmatch(said, row[6])


@pytest.mark.parametrize("tonnes", [7, 25])
@pytest.mark.parametrize("length", [0.1, 0.32])
def test_under_a_press_each_stack_costs_what_making_it_costs(
    owner_client, plan, tonnes, length
):
    """The billet saved with that length says so itself; heats grow by steps."""
    Equipment.objects.filter(kind="press").update(force=tonnes * 9806.65)
    Plan.objects.update(length=length)
    rows = stacks(page_of(owner_client, plan, short="400"))
    for name in ("50 %", "95 %", "Cheapest"):
        own = int(rows[name][1].split()[2]) / 1000
        Plan.objects.update(length=own)
        now = stacks(page_of(owner_client, plan, short="400"))["As planned now"]
        assert abs(number_in(now[4]) - number_in(rows[name][4])) <= Decimal("0.01")


@pytest.mark.parametrize("tonnes", [7, 25])
def test_cheapest_stack_is_the_same_whatever_is_planned_now(owner_client, plan, tonnes):
    """Law: what is cheapest hangs on the knives and the shop alone."""
    Equipment.objects.filter(kind="press").update(force=tonnes * 9806.65)
    found = set()
    for length in (0.1, 0.2, 0.32):
        Plan.objects.update(length=length)
        rows = stacks(page_of(owner_client, plan, short="400"))
        found.add(rows["Cheapest"][1])
        costs = {name: number_in(row[4]) for name, row in rows.items()}
        assert costs["Cheapest"] == min(costs.values())
    assert len(found) == 1


@pytest.mark.parametrize("short", ["0", "0.50", "2"])
def test_where_no_stack_pays_the_page_says_so(owner_client, plan, short):
    answer = page_of(owner_client, plan, short=short)
    assert "no stack pays" in text_of(answer)
    assert "Cheapest" not in stacks(answer)
    assert len(stacks(answer)) == 5


BAD = {
    "": "This box is empty: fill it in.",
    "-5": "Type 0.00 or more.",
    "much": "type a number",
    "1,500": "can be read two ways",
    "nan": "type a number",
    "1" * 40: "Type 9999999.99 or less.",
    "3.999": "places",
}


@pytest.mark.parametrize("typed", BAD, ids=[one[:6] or "empty" for one in BAD])
def test_sum_that_cannot_be_read_is_asked_about_and_kept(owner_client, plan, typed):
    answer = page_of(owner_client, plan, short=typed)
    assert errors_on(answer, "short")
    assert f'value="{typed}"' in answer.content.decode() or not typed
    assert "This needs mending" in text_of(answer)
    assert "95 %" in text_of(answer)  # the stacks stay, without amounts
    assert "Cost with risk" not in text_of(answer)


def test_sum_below_zero_says_what_to_type(owner_client, plan):
    answer = page_of(owner_client, plan, short="-5")
    assert errors_on(answer, "short").startswith("Type 0")
