"""The page on which a stack is asked for: its list, and a row opened as a plan."""

import re

import pytest
from django.core import signing
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from billets.models import BarSize, Equipment, Plan, Steel
from billets.physics.first_stacks import PERIODS
from billets.physics.proposal import ROWS
from billets.physics.sifting import REASONS
from quotes.stacks import proposal_words
from shop.models import Knife, Rate, Shop
from tests.factories import (
    BarSizeFactory,
    EquipmentFactory,
    KnifeFactory,
    OrderFactory,
    PlanFactory,
    SteelFactory,
)  # fmt: skip
from tests.quotes.orders import LONG_AGO, number_in, ready_shop, table_rows
from tests.shop.typing_in import STOCK_WORDS, errors_on, text_of

pytestmark = pytest.mark.django_db

SIZES = {"dark": (0.0025, 0.0035), "pale": (0.0018,)}


@pytest.fixture
def shop():
    ready_shop()
    for thickness in SIZES["dark"]:
        BarSizeFactory(thickness=thickness)
    for thickness in SIZES["pale"]:
        BarSizeFactory(pale=True, thickness=thickness)
    for kind in ("forge", "press", "saw"):
        EquipmentFactory(kind=kind)


@pytest.fixture
def knife(shop):
    order = OrderFactory()
    KnifeFactory(order=order, name="Second")
    return KnifeFactory(order=order, name="First")


def address(knife):
    return reverse("stacks", args=[knife.serial])


def asked(client, knife, **changes):
    """Ask as the form would, with some boxes changed; None leaves a box out."""
    data = {
        "knives": [one.serial for one in knife.order.knives.all()],
        "steels": ["dark", "pale"], "layers_low": "100", "layers_high": "300",
        "chance": "80", "short": "", "short_was": "", "seed": "17",
        **{name: Equipment.objects.get(kind=kind).pk
           for name, kind in (("forge", "forge"), ("tool", "press"), ("saw", "saw"))},
        **changes,
    }  # fmt: skip
    sent = {name: value for name, value in data.items() if value is not None}
    return client.get(address(knife), sent)


def seals(page):
    text = page.content.decode()
    return list(
        zip(
            re.findall(r'name="form_key" value="([^"]+)"', text),
            re.findall(r'name="stack" value="([^"]+)"', text),
            strict=True,
        )
    )


def opened(client, knife, page, place=0, **changes):
    key, seal = seals(page)[place]
    return client.post(address(knife), {"form_key": key, "stack": seal, **changes})


def proposals(page):
    """The rows of the list, as they are read."""
    return [row for row in table_rows(page) if len(row) == 11][1:]


# --- the list ------------------------------------------------------------------------


def test_page_proposes_as_soon_as_it_is_opened(owner_client, knife):
    page = owner_client.get(address(knife))
    rows, text = proposals(page), text_of(page)
    assert len(rows) == ROWS
    assert rows[0][0].startswith("1. ")
    costs = [number_in(row[8]) for row in rows]
    assert costs == sorted(costs)
    for row in rows:
        assert 100 <= number_in(row[2]) <= 300
        assert number_in(row[3]) > 0
        assert row[3].endswith("mm")
    assert "looked at" in text
    assert "because" in text
    assert "Uncalibrated" in text
    assert "Seed 20260101, 4,000 draws" in text


def test_stack_is_told_in_words(owner_client, knife):
    page = asked(owner_client, knife, layers_low="20", layers_high="60")
    first = proposals(page)[0][0]
    assert re.match(
        r"1\. \d+ pieces: \d+ × (Dark|Pale) steel [\d.]+ mm \+ "
        r"\d+ × (Dark|Pale) steel [\d.]+ mm, \d+ × \d+ mm; "
        r"(cut in \d|fold)(; (cut in \d|fold))*",
        first,
    )
    pieces, one, other = map(int, re.findall(r"(\d+) (?:pieces|×)", first)[:3])
    assert pieces == one + other


def test_layers_weights_and_counts_add_up(owner_client, knife):
    page = asked(owner_client, knife, layers_low="40", layers_high="90")
    found = re.search(r"([\d,]+) stacks looked at, ([\d,]+) left out: (.*?)\.",
                      text_of(page))  # fmt: skip
    looked, left_out = (number_in(found[place]) for place in (1, 2))
    reasons = [number_in(one) for one in re.findall(r"([\d,]+) because", found[3])]
    assert sum(reasons) == left_out <= looked


def test_knives_without_a_billet_are_ticked(owner_client, knife):
    other = KnifeFactory(order=knife.order, name="Third")
    other.target.plan = PlanFactory()
    other.target.save()
    form = owner_client.get(address(knife)).context["form"]
    ticked = form["knives"].value()
    assert ticked[0] == knife.serial
    assert len(ticked) == 2
    assert other.serial not in ticked
    assert set(form.known_knives) == {*ticked, other.serial}


def test_more_knives_take_more_steel(owner_client, knife):
    one = asked(owner_client, knife, knives=[knife.serial])
    two = asked(owner_client, knife)
    assert number_in(proposals(two)[0][1]) > number_in(proposals(one)[0][1])


def test_chance_asked_for_is_reached_by_every_row(owner_client, knife):
    for row in proposals(asked(owner_client, knife, chance="95", short="5")):
        assert number_in(row[9].removeprefix("more than ")) >= 95


def test_short_billet_is_reckoned_until_it_is_told(owner_client, knife):
    page = asked(owner_client, knife)
    computed = page.context["form"]["short"].value()
    assert "A short billet counts as what it cost to make" in text_of(page)
    again = asked(owner_client, knife, short=computed, short_was=computed)
    assert proposals(again) == proposals(page)
    told = asked(owner_client, knife, short="1234.50", short_was=computed)
    assert "A short billet counts as €1,234.50" in text_of(told)
    assert told.context["form"]["short"].value() == "1234.50"
    assert number_in(proposals(told)[0][8]) > number_in(proposals(page)[0][8])


def test_currency_is_the_shops(owner_client, knife):
    Shop.objects.update_or_create(pk=1, defaults={"currency": "JPY"})
    page = asked(owner_client, knife, short="40000")
    assert "¥40,000" in text_of(page)
    assert "€" not in text_of(page)


def test_three_steels_are_told_in_turn(owner_client, knife):
    third = SteelFactory(key="mild", name="Mild steel", carbon=0.1)
    BarSizeFactory(steel=third, thickness=0.003)
    Rate.objects.create(key="steel.mild", value=3, valid_from=LONG_AGO)
    page = asked(owner_client, knife, steels=["dark", "pale", "mild"])
    assert "in turn" in proposals(page)[0][0]
    assert len(re.findall("Mild steel", proposals(page)[0][0])) >= 2


def test_inch_shop_reads_inches(owner_client, knife):
    Shop.objects.update_or_create(pk=1, defaults={"units": "inch"})
    row = proposals(asked(owner_client, knife))[0]
    assert row[1].endswith("oz")
    assert row[3].endswith("in")


# --- opened --------------------------------------------------------------------------


def test_opened_plan_says_what_the_row_said(owner_client, knife):
    page = asked(owner_client, knife)
    row = proposals(page)[1]
    answer = opened(owner_client, knife, page, 1)
    plan = Plan.objects.get()
    assert answer.status_code == 302
    assert answer.url == plan.get_absolute_url()
    found = owner_client.get(answer.url)
    trial = found.context["trial"]
    shown = {figure.label: figure for figure in trial.summary.figures}
    assert row[1] == f"{shown['Stack to weld'].value} {shown['Stack to weld'].unit}"
    assert row[2] in shown["Layers"].band
    assert row[4] == str(trial.figures.plain.welds)
    assert row[5] == f"{shown['Heats'].value} {shown['Heats'].band}"
    for cell, label in ((row[6], "Attended"), (row[7], "Gas")):
        figure = shown[label]
        assert cell == f"{figure.value} {figure.unit} {figure.band}"
    assert f"Enough with a chance of {row[9]}" in text_of(found)
    assert trial.figures.verdict.enough


def test_opened_plan_is_exactly_the_row(owner_client, knife):
    page = asked(owner_client, knife, chance="")
    (key, seal), *_rest = seals(page)
    told = signing.loads(seal, salt="stacks")
    owner_client.post(address(knife), {"form_key": key, "stack": seal})
    plan = Plan.objects.whole().get()
    assert plan.order == told["order"]
    assert (plan.length, plan.width) == (told["length"], told["width"])
    assert {row.letter: row.bar_id for row in plan.bars.all()} == told["bars"]
    assert plan.seed == told["seed"]
    assert [step.kind for step in plan.steps.all()] == [
        step["kind"] for step in told["steps"]
    ]
    assert str(told["layers"]) in plan.title
    assert "First" in plan.title


def test_knives_come_out_of_the_opened_plan(owner_client, knife):
    opened(owner_client, knife, asked(owner_client, knife))
    plan = Plan.objects.get()
    knives = Knife.objects.for_list()
    assert {one.target.plan for one in knives} == {plan}
    assert len({one.mark for one in knives}) == 2


def test_row_sent_twice_is_opened_once(owner_client, knife):
    page = asked(owner_client, knife)
    first, again = (opened(owner_client, knife, page) for _time in range(2))
    assert first.url == again.url
    assert Plan.objects.count() == 1
    other = opened(owner_client, knife, page, 1)
    assert other.status_code == 302
    assert Plan.objects.count() == 2


@pytest.mark.parametrize("seal", ["", "x", "a:b:c", None])
def test_forged_stack_is_refused(owner_client, knife, seal):
    page = asked(owner_client, knife)
    answer = opened(owner_client, knife, page, stack=seal or seals(page)[0][1][:-2])
    assert answer.status_code == 200
    assert "Ask again and take one of the new list" in text_of(answer)
    assert not Plan.objects.exists()


def test_stack_of_a_bar_that_is_gone_is_refused(owner_client, knife):
    page = asked(owner_client, knife)
    BarSize.objects.all().delete()
    answer = opened(owner_client, knife, page)
    assert "cannot be opened any more" in text_of(answer)
    assert not Plan.objects.exists()


def test_knife_past_the_forge_keeps_its_billet(owner_client, knife):
    page = asked(owner_client, knife)
    Knife.objects.filter(pk=knife.pk).update(stage="grind")
    answer = opened(owner_client, knife, page)
    assert "past the forge" in text_of(answer)
    assert not Plan.objects.exists()
    assert "past the forge" in text_of(owner_client.get(address(knife)))


def test_answer_without_a_key_is_refused(owner_client, knife):
    seal = seals(asked(owner_client, knife))[0][1]
    assert owner_client.post(address(knife), {"stack": seal}).status_code == 400
    assert not Plan.objects.exists()


# --- who, and from where -------------------------------------------------------------


def test_helper_sees_no_prices(helper_client, knife):
    assert helper_client.get(address(knife)).status_code == 403
    assert (
        address(knife)
        not in helper_client.get(knife.get_absolute_url()).content.decode()
    )


def test_knife_and_new_plan_lead_here(owner_client, knife):
    for place in (
        knife.get_absolute_url(),
        f"{reverse('plan-new')}?knife={knife.serial}",
    ):
        assert address(knife) in owner_client.get(place).content.decode()


# --- bad input -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("box", "typed", "said"),
    [
        ("steels", ["dark"], "two or three steels; ticked: 1"),
        ("steels", None, "two or three steels; ticked: 0"),
        ("steels", ["unheard"], ""),
        ("knives", None, "Tick at least one knife"),
        ("knives", ["ZZZZ"], ""),
        ("layers_low", "", "type a value here"),
        ("layers_low", "1", "2 or more"),
        ("layers_low", "many", "many"),
        ("layers_low", "12.5", "no whole number"),
        ("layers_high", "5000", "2000 or less"),
        ("layers_high", "99", "from 100 to 99 layers is the wrong way round"),
        ("chance", "100", "99"),
        ("chance", "0", "1"),
        ("short", "-5", ""),
        ("short", "1,500", "two ways"),
        ("short", "1e400", ""),
        ("seed", "-1", ""),
        ("forge", "999999", ""),
        ("tool", "", ""),
        ("saw", "0", ""),
    ],
)
def test_bad_boxes_are_told_and_kept(owner_client, knife, box, typed, said):
    page = asked(owner_client, knife, **{box: typed})
    beside = errors_on(page, box)
    assert page.status_code == 200
    assert beside
    assert said.lower() in beside.lower()
    assert not proposals(page)
    assert not any(words in text_of(page) for words in STOCK_WORDS)
    if isinstance(typed, str):
        assert page.context["form"][box].value() == typed


def test_no_bars_on_offer_says_where_to_enter_them(owner_client, knife):
    BarSize.objects.update(on_offer=False)
    text = text_of(owner_client.get(address(knife)))
    assert "No bar is on offer." in text
    assert "Steels, equipment, people" in text


def test_one_steel_on_offer_says_what_is_missing(owner_client, knife):
    BarSize.objects.filter(steel__key="pale").update(on_offer=False)
    assert "one steel shows no pattern" in text_of(owner_client.get(address(knife)))


def test_shop_without_a_saw_is_told(owner_client, knife):
    Equipment.objects.filter(kind="saw").update(in_use=False)
    assert "and a saw are needed" in text_of(owner_client.get(address(knife)))


def test_shop_without_rates_is_led_to_them(owner_client, knife):
    Rate.objects.all().delete()
    page = owner_client.get(address(knife))
    assert "No rates are in force" in text_of(page)
    assert reverse("rates") in page.content.decode()


def test_steel_without_a_price_is_named(owner_client, knife):
    Rate.objects.filter(key="steel.pale").delete()
    page = owner_client.get(address(knife))
    assert "Pale steel has no price a kilogram" in errors_on(page, "steels")


def test_nothing_left_says_mostly_why_and_what_to_do(owner_client, knife):
    Equipment.objects.filter(kind="forge").update(door_height=0.012)
    text = text_of(owner_client.get(address(knife)))
    assert "No stack is left: mostly a stack does not pass the forge door." in text
    assert "bigger door" in text


def test_few_layers_are_not_an_error(owner_client, knife):
    text = text_of(asked(owner_client, knife, layers_low="2", layers_high="2"))
    assert "No stack" in text
    assert "Ask for a wider range of layers" in text


def test_press_that_moves_nothing_is_said(owner_client, knife):
    Equipment.objects.filter(kind="press").update(force=3000.0)
    text = text_of(owner_client.get(address(knife)))
    assert "the press does not move them" in text
    assert "bigger press" in text


def test_press_without_force_names_its_box(owner_client, knife):
    Equipment.objects.filter(kind="press").update(force=0.0)
    assert "moves no steel" in errors_on(owner_client.get(address(knife)), "tool")


def test_every_reason_has_its_words():
    assert list(proposal_words.REASONS) == list(REASONS)
    assert list(proposal_words.WAYS) == list(REASONS)
    assert max(PERIODS) == 3


def test_page_asks_as_often_for_one_knife_as_for_many(
    owner_client, knife, django_assert_num_queries
):
    with CaptureQueriesContext(connection) as few:
        owner_client.get(address(knife))
    for _more in range(4):
        KnifeFactory(order=knife.order)
    with django_assert_num_queries(len(few)):
        owner_client.get(address(knife))


def test_steels_that_must_not_meet_are_told_above_the_list(owner_client, knife):
    """Water beside air hardening steel: working rule, common practice, no source."""
    Steel.objects.filter(key="dark").update(quench_class="water")
    Steel.objects.filter(key="pale").update(quench_class="air")
    page = asked(owner_client, knife)
    said = text_of(page)
    assert table_rows(page)
    assert page.context["against"]
    assert str(page.context["against"][0].first) in said
    assert any("water" in str(one.first) for one in page.context["against"])
