"""What a billet may not be: said beside the box, all typed kept, nothing saved."""

import re

import pytest

from billets.models import Equipment, Plan
from tests.billets.typing_in import (
    address,
    boxes,
    errors,
    named,
    plain,
    rows,
    said,
    send,
)
from tests.shop.typing_in import STOCK_WORDS

pytestmark = pytest.mark.django_db

REFUSED = {
    "one steel": ({"order": "AAAA"}, "order", "All layers are of one steel"),
    "no order": ({"order": ""}, "order", "empty"),
    "no pieces": ({"order": "0(AB)"}, "order", "has no pieces"),
    "unknown letter": ({"order": "ABF"}, "order", "No bar has the letter F"),
    "letter without bar": ({"order": "ABC"}, "bar_c", "letter C stands for no bar"),
    "bar too narrow": ({"width": "36"}, "width", "Bar A is 35 mm wide"),
    "no length": ({"length": ""}, "length", "Type a value"),
    "length of nothing": ({"length": "0"}, "length", "must be 0.1 mm or more"),
    "length below zero": ({"length": "-5"}, "length", "is below zero"),
    "length beyond the bar": ({"length": "1200"}, "length", "does not fit on a bar"),
    "length read two ways": ({"length": "1,200"}, "length", "two ways"),
    "no width": ({"width": ""}, "width", "Type a value"),
    "mass for a width": ({"width": "3 kg"}, "width", ""),
    "loose first": ({"step_0_kind": "trim"}, "step-0-kind", "the first step a weld"),
    "loose last": ({"step_4_kind": "fold"}, "step-4-kind", "ends with loose pieces"),
    "no kind": ({"step_1_kind": "twirl"}, "step-1-kind", "Choose one of the list"),
    "at the solidus": ({"step_0_temperature": "1382"}, "step-0-temperature", "to melt"),
    "colder than red": ({"step_1_temperature": "20"}, "step-1-temperature", "no forg"),
    "hotter than the wall": ({"step_0_temperature": "1310"}, "forge", "wall"),
    "no heat": ({"step_0_heats": "0"}, "step-0-heats", "takes 1 to"),
    "half a heat": ({"step_0_heats": "2.5"}, "step-0-heats", "no whole number"),
    "nothing left": (
        {"order": "ABA", "step_0_heats": "40"}, "step-0-kind", "Nothing is left",
    ),
    "draw to no width": ({"step_1_width": ""}, "step-1-width", "empty"),
    "draw to no thickness": ({"step_4_thickness": " "}, "step-4-thickness", "empty"),
    "draw thicker": ({"step_1_thickness": "60"}, "step-1-thickness", "makes a section"),
    "draw wider": (
        {"step_4_width": "400", "step_4_thickness": "6"}, "step-4-width", "makes a",
    ),
    "cut in none": ({"step_2_pieces": "0"}, "step-2-pieces", "at least 2 pieces"),
    "cut in one": ({"step_2_pieces": "1"}, "step-2-pieces", "at least 2 pieces, not 1"),
    "cut in nothing said": ({"step_2_pieces": ""}, "step-2-pieces", "empty"),
    "cut too short": ({"step_2_pieces": "12"}, "step-2-pieces", "shorter than the"),
    "cut beyond counting": ({"step_2_pieces": "999999"}, "step-2-pieces", ""),
    "trim more than there is": (
        {"step_2_kind": "trim", "step_2_per_end": "900"}, "step-2-per_end", "nothing",
    ),
    "grind more than there is": (
        {"step_2_kind": "grind", "step_2_face": "7"}, "step-2-face", "leaves nothing",
    ),
    "sure as can be": ({"chance": "100"}, "chance", "or less"),
    "not at all sure": ({"chance": "0"}, "chance", "or more"),
    "no seed": ({"seed": "x"}, "seed", "cannot be read"),
    "no name": ({"title": " "}, "title", "empty"),
    "long name": ({"title": "x" * 81}, "title", "at most 80 signs"),
    "unknown forge": ({"forge": "999999"}, "forge", "Choose one of the list"),
    "unknown bar": ({"bar_a": "0"}, "bar_a", "Choose one of the list"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_impossible_plan_is_refused_beside_its_box(owner_client, plan, name):
    changes, box, words = REFUSED[name]
    before = rows(plan)
    page = send(owner_client, address(plan), **changes)
    assert page.status_code == 200
    told = errors(page)
    assert list(told) == [box]
    assert words in told[box]
    assert rows(plan) == before

    kept = boxes(page)
    for place, text in named(changes).items():
        # A list can only show what it offers.
        assert kept[place] == text or re.search("kind|forge|bar_", place)
    text = page.content.decode()
    assert re.search(r"<title>\s*Error:", text)
    links = re.findall(r'<li><a href="#id_([\w-]+)">', text)
    assert links == [box]
    assert not any(word in plain(text) for word in STOCK_WORDS)


def test_bar_wider_than_the_forge_door_is_said_beside_the_forge(owner_client, plan):
    Equipment.objects.filter(kind="forge").update(door_width=0.03, door_height=0.02)
    told = errors(send(owner_client, address(plan)))
    assert "does not pass the forge door" in told["forge"]


def test_refusal_is_said_in_the_result_as_well(owner_client, plan):
    page = send(owner_client, address(plan), "try", order="AAAA")
    assert "This billet cannot be made so: All layers are of one steel" in said(page)


def test_every_mistake_is_said_at_once(owner_client, plan):
    page = send(
        owner_client, address(plan),
        title="", length="long", step_0_heats="few", step_4_width="",
    )  # fmt: skip
    assert list(errors(page)) == ["title", "length", "step-0-heats", "step-4-width"]


@pytest.mark.parametrize("steps", ["", "x", "-1", "0", "9" * 40, "٣"])
def test_form_without_steps_is_refused(owner_client, plan, steps):
    before = rows(plan)
    page = send(owner_client, address(plan), steps=steps)
    assert page.status_code == 200
    assert rows(plan) == before


def test_more_steps_than_anybody_plans_are_not_taken(owner_client, plan):
    data = boxes(owner_client.get(address(plan)))
    for place in range(5, 41):
        data |= {f"step-{place}-kind": "trim", f"step-{place}-per_end": "0.1"}
    page = owner_client.post(address(plan), data | {"steps": "41", "add": "1"})
    assert boxes(page)["steps"] == "40"


def test_fields_nobody_was_asked_for_are_let_be(owner_client, plan):
    send(owner_client, address(plan), version=str(plan.version), pk="9", changed="x")
    assert Plan.objects.get().pk == plan.pk


def test_saved_billet_that_can_no_longer_be_made_still_has_its_page(owner_client, plan):
    Plan.objects.filter(pk=plan.pk).update(order="AAAA")
    page = owner_client.get(address(plan))
    assert "This billet cannot be made so" in said(page)
    assert boxes(page)["order"] == "AAAA"
    assert "All layers are of one steel" in said(owner_client.get("/billets/"))
