"""The page that says how sure a billet is: its numbers, its button, its refusals."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from billets.models import Equipment, Plan, PlanBar, PlanStep, ShopFactor, SubmittedForm
from billets.physics.fit import fit_length
from billets.physics.plan import run_plan
from billets.services import plan_input, plan_spec
from quotes.pricing import rates_on
from quotes.stacks.costs import priced
from quotes.stacks.sureness import sureness_of
from quotes.stacks.unit_costs import unit_costs_on
from shop.models import Rate, Shop
from tests.factories import BarSizeFactory, PlanFactory
from tests.quotes.orders import LONG_AGO, number_in, ready_order, ready_shop, table_rows
from tests.shop.typing_in import errors_on, text_of

pytestmark = pytest.mark.django_db

TAKEN = re.compile(r'<form method="post" action="([^"]+)">(.*?)</form>', re.DOTALL)


@pytest.fixture
def plan():
    ready_shop()
    row = PlanFactory(length=0.1)
    ready_order("One", "Other", plan=row)
    return Plan.objects.get(pk=row.pk)


def address(plan):
    return reverse("sure", args=[plan.pk])


def page_of(client, plan, **asked):
    answer = client.get(address(plan), asked)
    assert answer.status_code == 200
    return answer


def stacks(answer):
    """The rows of the table of stacks, by what they are called.

    Of each: chance, size, mass, left over, cost, steel, formula.
    """
    found = {}
    for name, chance, stack, spare, cost, formula, _button in (
        row for row in table_rows(answer) if len(row) == 7 and row[1] != "Suffices with"
    ):
        size, mass = re.fullmatch(r"(.*(?:mm|in)) (.*)", stack).groups()
        money, steel = cost.split(" steel ")
        key = name.partition(" if ")[0]
        found[key] = [chance, size, mass, spare, money, steel, formula]
    return found


def buttons(answer):
    """What each button of the table sends."""
    return [
        dict(re.findall(r'name="([^"]+)" value="([^"]*)"', inside))
        for _to, inside in TAKEN.findall(answer.content.decode())
        if 'name="length"' in inside
    ]


def take(client, plan, place=2, **changes):
    sent = buttons(page_of(client, plan))[place]
    return client.post(address(plan), sent | changes)


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


# --- a stack taken --------------------------------------------------------------------


def test_taking_a_stack_makes_it_the_billets_own(owner_client, plan):
    found = stacks(page_of(owner_client, plan))["90 %"]
    answer = take(owner_client, plan)
    assert (answer.status_code, answer.url) == (302, plan.get_absolute_url())
    taken = Plan.objects.get()
    assert f"11 × {1000 * taken.length:.0f} mm" == found[1]
    assert (taken.chance, taken.version) == (0.9, plan.version + 1)
    text = text_of(owner_client.get(answer.url))
    assert f"The stack is now {1000 * taken.length:.0f} mm long" in text
    assert "Enough with a chance of 9" in text


def test_stack_longer_than_its_bars_is_not_taken(owner_client, plan):
    before = Plan.objects.values().get()
    bar = min(row.bar.length for row in plan.bars.all())
    page = take(owner_client, plan, length=str(round(bar * 1000) + 50))
    assert page.status_code == 200
    assert page.context["refusal"]
    assert Plan.objects.values().get() == before


def test_taking_changes_nothing_else(owner_client, plan):
    steps = list(PlanStep.objects.values("kind", "width", "thickness", "typed"))
    PlanStep.objects.filter(kind="draw").update(typed={"width": "1.3 in"})
    Plan.objects.update(typed={"length": "4 in", "order": "5(AB)A"})
    take(owner_client, plan)
    taken = Plan.objects.get()
    assert taken.typed == {"order": "5(AB)A"}
    assert [one["kind"] for one in steps] == [one.kind for one in taken.steps.all()]
    assert {row.letter: row.bar_id for row in taken.bars.all()} == {
        row.letter: row.bar_id for row in plan.bars.all()
    }
    assert taken.steps.filter(typed={"width": "1.3 in"}).count() == 2
    for name in ("title", "order", "width", "seed", "forge_id", "tool_id", "saw_id"):
        assert getattr(taken, name) == getattr(plan, name)


def test_cheapest_stack_can_be_taken_and_is_asked_for_as_surely(owner_client, plan):
    place = 4
    sent = buttons(page_of(owner_client, plan, short="200"))[place]
    assert owner_client.post(address(plan), sent).status_code == 302
    taken = Plan.objects.get()
    assert 0.5 < taken.chance <= 0.99
    assert sureness_of(taken).now.chance >= taken.chance


def test_button_pressed_twice_takes_it_once(owner_client, plan):
    sent = buttons(page_of(owner_client, plan))[1]
    answers = [owner_client.post(address(plan), sent) for _press in range(2)]
    assert [one.status_code for one in answers] == [302, 302]
    assert answers[0].url == answers[1].url
    assert Plan.objects.get().version == plan.version + 1
    assert SubmittedForm.objects.count() == 1


def test_second_of_two_is_told_and_shown_the_billet_as_it_is_now(owner_client, plan):
    old = buttons(page_of(owner_client, plan))
    owner_client.post(address(plan), old[0])
    answer = owner_client.post(address(plan), old[3])
    assert answer.status_code == 200
    assert "Somebody else saved this billet meanwhile." in text_of(answer)
    first = Plan.objects.get()
    assert f"{1000 * first.length:.0f}" == old[0]["length"]
    # The page shows the version as it is now, so its buttons work.
    fresh = buttons(answer)[3]
    assert owner_client.post(address(plan), fresh).status_code == 302


@pytest.mark.parametrize(
    "changes",
    [
        {"length": ""}, {"length": "x"}, {"length": "-3"}, {"length": "0"},
        {"length": "99999"}, {"length": "9999"}, {"length": "12"}, {"length": "٣"},
        {"chance": ""}, {"chance": "0"}, {"chance": "100"}, {"chance": "nan"},
    ],
    ids=str,
)  # fmt: skip
def test_stack_that_was_not_offered_is_refused(owner_client, plan, changes):
    answer = take(owner_client, plan, **changes)
    assert answer.status_code == 200
    assert 'role="alert"' in answer.content.decode()
    assert Plan.objects.get().version == plan.version


@pytest.mark.parametrize("version", ["", "x", "0", "9999999999999999999"])
def test_nonsense_as_version_takes_nothing(owner_client, plan, version):
    answer = take(owner_client, plan, version=version)
    assert "Somebody else saved this billet meanwhile." in text_of(answer)
    assert Plan.objects.get().length == plan.length


def test_form_without_its_key_takes_nothing(owner_client, plan):
    assert take(owner_client, plan, form_key="").status_code == 400
    assert Plan.objects.get().length == plan.length


def test_sum_typed_stays_when_a_stack_could_not_be_taken(owner_client, plan):
    sent = buttons(page_of(owner_client, plan, short="345"))[1]
    assert sent["short"] == "345"
    answer = owner_client.post(address(plan), sent | {"version": "77"})
    assert "If a short billet costs €345.00" in text_of(answer)


# --- what is missing ------------------------------------------------------------------


def test_billet_of_no_knife_says_where_to_choose_it(owner_client):
    ready_shop()
    answer = page_of(owner_client, PlanFactory())
    text = text_of(answer)
    assert "choose it on the page of a knife" in text
    assert "What makes it uncertain" in text
    assert not buttons(answer)


def test_billet_that_cannot_be_made_says_why(owner_client, plan):
    PlanBar.objects.filter(plan=plan, letter="B").delete()
    text = text_of(page_of(owner_client, plan))
    assert "This billet cannot be made so: The letter B stands for no bar" in text


def test_billet_no_length_suffices_for_says_the_way_out(owner_client, plan):
    PlanStep.objects.create(plan=plan, position=6, kind="grind", face=0.006)
    text = text_of(page_of(owner_client, plan))
    assert "This billet cannot be made so:" in text


def test_chance_that_no_length_reaches_is_told_in_its_row(owner_client, plan):
    """Ground so deep that one billet in six is ground through, however long."""
    PlanStep.objects.create(plan=plan, position=6, kind="grind", face=0.0019)
    answer = page_of(owner_client, plan)
    told = [row for row in table_rows(answer) if len(row) == 2 and "%" in row[0]]
    assert told
    assert all("No length of stack up to" in row[1] for row in told)
    assert "80 %" in stacks(answer) or "50 %" in stacks(answer)


@pytest.mark.parametrize("length", [0.95, 1.0])
def test_stack_nearly_as_long_as_its_bars_is_priced(owner_client, plan, length):
    """Bars of 1 m: a longer one could not be cut from them."""
    Plan.objects.update(length=length)
    row = stacks(page_of(owner_client, plan))["As planned now"]
    assert number_in(row[4]) > 0


def test_stack_longer_than_its_bars_says_so_instead_of_amounts(owner_client, plan):
    Plan.objects.update(length=1.2)
    text = text_of(page_of(owner_client, plan))
    assert "does not fit on a bar" in text
    assert "95 %" in text


def test_stack_too_short_to_be_cut_is_told_and_the_others_stand(owner_client, plan):
    Plan.objects.update(length=0.02)
    answer = page_of(owner_client, plan)
    rows = [row for row in table_rows(answer) if row and row[0] == "As planned now"]
    assert len(rows[0]) == 2
    assert rows[0][1].startswith("Step ")
    assert {"80 %", "95 %"} <= set(stacks(answer))
    assert "What makes it uncertain" not in text_of(answer)


def test_shop_without_rates_sees_stacks_but_no_amounts(owner_client, plan):
    Rate.objects.all().delete()
    answer = page_of(owner_client, plan)
    text = text_of(answer)
    assert "No rates are in force on" in text
    assert "Open the rates" in text
    assert "95 %" in text
    assert "€" not in text
    assert owner_client.post(address(plan), buttons(answer)[1]).status_code == 302


def test_steel_without_a_price_is_named(owner_client, plan):
    Rate.objects.filter(key="steel.pale").delete()
    text = text_of(page_of(owner_client, plan))
    assert "Pale steel has no price a kilogram; enter one with the steel." in text


def test_steel_that_costs_nothing_makes_no_cheapest_stack(owner_client, plan):
    Rate.objects.filter(key__in=("steel.pale", "steel.dark", "gas", "labour")).update(
        value=0
    )
    text = text_of(page_of(owner_client, plan))
    assert "more steel costs nothing" in text
    assert "95 %" in text


def test_helper_is_told_that_this_is_the_owners(helper_client, plan):
    for answer in (helper_client.get(address(plan)), helper_client.post(address(plan))):
        assert answer.status_code == 403
        assert "kept to whoever runs the shop" in text_of(answer)


def test_billet_that_is_not_there_is_not_found(owner_client):
    assert owner_client.get(reverse("sure", args=[4711])).status_code == 404


def test_steel_of_a_core_is_paid_too(owner_client, plan):
    """Arithmetic: the core is cut as long as the halves it lies between."""
    bar = BarSizeFactory(width=0.042)
    PlanStep.objects.create(plan=plan, position=6, kind="core", core=bar)
    PlanStep.objects.create(plan=plan, position=7, kind="weld")
    found = sureness_of(plan)
    money = priced(found, unit_costs_on(LONG_AGO))
    stack = 0.1 * 0.035 * (6 * 0.0035 + 5 * 0.0018) * 7850 * 9.25
    plain = run_plan(plan_input(found.spec))
    (laid,) = (step for step in plain.steps if step.kind == "core")
    core = float(laid.length) * 0.042 * 0.0035 * 7850 * 9.25
    assert money.making.steel == pytest.approx(stack + core)
    assert "95 %" in text_of(page_of(owner_client, plan))
