"""The page of a billet: begun, tried, copied, read in any unit and language."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from billets.models import Plan, PlanStep, ShopFactor
from shop.models import Shop
from tests.billets.typing_in import (
    address,
    boxes,
    errors,
    pressed,
    rows,
    said,
    send,
)
from tests.factories import (
    KnifeFactory,
    OrderFactory,
    PlanFactory,
)

pytestmark = pytest.mark.django_db

NEW = "/billets/new/"


# --- new -------------------------------------------------------------------------


def test_new_page_begins_with_a_plan_that_can_be_made(owner_client, stock):
    page = owner_client.get(NEW)
    assert errors(page) == {}
    for words in (
        "Bar as forged",
        "17 pieces from the bottom up",
        "No knife is to come",
    ):
        assert words in said(page)


def test_new_page_of_a_shop_with_nothing_says_what_is_missing(owner_client):
    page = owner_client.get(NEW)
    assert page.status_code == 200
    assert {"forge", "tool", "saw"} <= set(errors(page))


def test_new_billet_is_saved_with_all_it_was_reckoned_with(owner_client, stock):
    answer = send(owner_client, NEW, title="First billet", length="145", seed="11")
    plan = Plan.objects.get()
    assert answer.url == address(plan)
    assert (plan.title, plan.length, plan.seed) == ("First billet", 0.145, 11)
    assert plan.order == "AB" * 8 + "A"
    assert [bar.letter for bar in plan.bars.all()] == ["A", "B"]
    steps = list(plan.steps.all())
    assert [step.position for step in steps] == list(range(1, 8))
    assert (steps[0].kind, steps[0].heats, steps[0].temperature) == ("weld", 3, 1503.15)
    assert "saved" in said(owner_client.get(answer.url))


def test_form_sent_twice_makes_one_billet(owner_client, stock):
    data = boxes(owner_client.get(NEW)) | {"title": "Once", "save": "1"}
    first, second = (owner_client.post(NEW, data) for _ in range(2))
    assert first.url == second.url
    assert Plan.objects.count() == 1


@pytest.mark.parametrize("key", ["", "x" * 65, "a\x00b", "ключ"])
def test_form_without_its_key_saves_nothing(owner_client, stock, key):
    answer = send(owner_client, NEW, title="No key", form_key=key)
    assert answer.status_code == 400
    assert not Plan.objects.exists()


def test_helper_may_see_and_plan_billets(helper_client, stock, plan, knife):
    assert helper_client.get("/billets/").status_code == 200
    assert send(helper_client, NEW, title="By the helper").status_code == 302
    assert send(helper_client, address(plan), length="150").status_code == 302


def test_billet_begun_on_a_knifes_page_is_that_knifes(owner_client, stock):
    knife = KnifeFactory(order=OrderFactory())
    page = owner_client.get(f"{NEW}?knife={knife.serial}")
    assert f"{knife.serial} Test knife needs" in said(page)
    data = boxes(page) | {"title": "For one knife"}
    fitted = owner_client.post(NEW, data | {"fit": "length"})
    assert "Enough with a chance of" in said(fitted)
    owner_client.post(NEW, data | {"save": "1"})
    knife.target.refresh_from_db()
    assert knife.target.plan == Plan.objects.get()


def test_knife_that_has_a_billet_keeps_it(owner_client, stock, plan, knife):
    page = owner_client.get(f"{NEW}?knife={knife.serial}")
    assert "No knife is to come" in said(page)
    owner_client.post(
        NEW, boxes(page) | {"title": "Other", "save": "1", "knife": knife.serial}
    )
    knife.target.refresh_from_db()
    assert knife.target.plan == plan


# --- tried ---------------------------------------------------------------------------


def test_page_says_verdict_figures_steps_and_cuts(owner_client, plan, knife):
    text = said(owner_client.get(address(plan)))
    for words in (
        "with a chance of", "80 % you asked for", "Uncalibrated: physics and trade",
        "Stack to weld", "Layers", "Heats", "Forge lit", "Attended", "Gas", "Size hot",
        "scale at the welds", "saw cuts", "A: 6 pieces of 137 mm from 1 bar of Dark",
        f"{knife.serial} Test knife needs", "Mass from stack to blade",
    ):  # fmt: skip
        assert words in text


def test_layers_say_why_fewer_can_be_told_apart(owner_client, plan):
    """Eleven layers of two steels in turn, cut in three: equal steels meet at two cuts.

    A counting identity: 3 x 11 layers, less one for each joint of equal steels.
    """
    text = said(owner_client.get(address(plan)))
    assert "33 by count, 31 can be told apart" in text
    assert "Where equal steels meet, two layers become one." in text


def test_three_weighed_billets_end_the_word_uncalibrated(owner_client, plan):
    ShopFactor.objects.create(name="grind", median=1.1, ln_sd=0.2, billets=3)
    text = said(owner_client.get(address(plan)))
    assert "From 3 weighed billets of this shop." in text
    assert "Uncalibrated" not in text


def test_try_computes_again_and_saves_nothing(owner_client, plan, knife):
    before = rows(plan)
    page = send(owner_client, address(plan), "try", length="210", order="9(AB)A")
    assert "19 pieces from the bottom up" in said(page)
    assert boxes(page)["order"] == "9(AB)A"
    assert rows(plan) == before


def test_try_needs_no_name(owner_client, stock):
    page = send(owner_client, NEW, "try")
    assert errors(page) == {}
    page = send(owner_client, NEW, "save")
    assert "empty" in errors(page)["title"]
    assert "Bar as forged" in said(page)


def test_boxes_of_other_kinds_are_let_be(owner_client, plan):
    """A weld takes no notice of a width that cannot be read."""
    page = send(owner_client, address(plan), "try", step_0_width="broad")
    assert errors(page) == {}
    assert boxes(page)["step-0-width"] == "broad"


def test_steps_are_moved_removed_and_added_without_saving(owner_client, plan):
    def kinds(page):
        data = boxes(page)
        return [data[f"step-{i}-kind"] for i in range(int(data["steps"]))]

    before = rows(plan)
    assert kinds(send(owner_client, address(plan), "up=3")) == [
        "weld", "cut", "draw", "weld", "draw",
    ]  # fmt: skip
    assert kinds(send(owner_client, address(plan), "down=1"))[:2] == ["draw", "weld"]
    assert len(kinds(send(owner_client, address(plan), "remove=5"))) == 4
    page = send(owner_client, address(plan), "add", add_kind="draw")
    assert kinds(page)[-1] == "draw"
    assert boxes(page)["step-5-thickness"] == boxes(page)["step-4-thickness"]
    for nonsense in ("up=1", "down=5", "up=0", "remove=99", "up=x", "down=-1"):
        assert kinds(send(owner_client, address(plan), nonsense)) == [
            "weld", "draw", "cut", "weld", "draw",
        ]  # fmt: skip
    assert rows(plan) == before


def test_half_done_arranging_is_said_but_nothing_is_marked_wrong(owner_client, plan):
    page = send(owner_client, address(plan), "add", add_kind="cut")
    assert "ends with loose pieces" in said(page)
    assert errors(page) == {}


def test_new_steps_show_what_is_usual(owner_client, plan):
    trim = boxes(send(owner_client, address(plan), "add", add_kind="trim"))
    assert trim["step-5-per_end"] == "10"
    grind = boxes(send(owner_client, address(plan), "add", add_kind="grind"))
    assert (grind["step-5-face"], grind["step-5-edge"]) == ("0.5", "0.2")


def test_new_seed_is_another_one(owner_client, plan):
    page = send(owner_client, address(plan), "new_seed")
    assert boxes(page)["seed"] != str(plan.seed)
    assert Plan.objects.get().seed == plan.seed


def test_same_seed_gives_the_same_page(owner_client, plan, knife):
    pages = [owner_client.get(address(plan)).content.decode() for _ in range(2)]
    keys = r'(form_key|csrfmiddlewaretoken)" value="[^"]+"'
    assert re.sub(keys, "", pages[0]) == re.sub(keys, "", pages[1])


# --- page and language -----------------------------------------------------------


def test_page_carries_no_style_and_no_script_of_its_own(owner_client, plan, knife):
    for page in (owner_client.get("/billets/"), owner_client.get(address(plan))):
        text = page.content.decode()
        assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]* src=)", text)


def test_inch_shop_types_and_reads_inches(owner_client, plan, knife):
    Shop.objects.update_or_create(pk=1, defaults={"units": "inch"})
    page = owner_client.get(address(plan))
    assert boxes(page)["length"] == "5.39370079"
    assert "Length of the stack, in" in said(page)
    before = rows(plan)
    send(owner_client, address(plan))
    after = rows(plan)
    assert after[0] == before[0]
    fitted = send(owner_client, address(plan), "fit=length")
    assert re.fullmatch(r"\d+ mm", boxes(fitted)["length"])


def test_new_billet_of_an_inch_shop_begins_with_round_numbers(owner_client, stock):
    Shop.objects.update_or_create(pk=1, defaults={"units": "inch"})
    data = boxes(owner_client.get(NEW))
    assert data["length"] == "4.72"
    assert data["step-2-per_end"] == "0.39"
    assert data["step-0-temperature"] == "2246"


def test_german_page_reads_what_it_writes(owner_client, plan, knife):
    Shop.objects.update_or_create(pk=1, defaults={"language": "de"})
    before = rows(plan)
    data = boxes(owner_client.get(address(plan)))
    assert data["step-4-thickness"] == "5,5"
    owner_client.post(address(plan), data | {"save": "1"})
    translation.activate("en")
    assert rows(plan)[0] == before[0]
    assert [one["thickness"] for one in rows(plan)[1]] == [
        one["thickness"] for one in before[1]
    ]


@pytest.mark.parametrize("pk", ["0", "999999", "9" * 30])
def test_billet_that_is_not_there_is_not_found(owner_client, pk):
    assert owner_client.get(f"/billets/{pk}/").status_code == 404
    assert owner_client.post(f"/billets/{pk}/", pressed("save")).status_code == 404


def test_markup_in_names_is_shown_as_text(owner_client, plan):
    bad = "<script>alert(1)</script>"
    plan.bars.first().bar.steel.__class__.objects.update(name=bad)
    send(owner_client, address(plan), title=bad)
    for page in (owner_client.get("/billets/"), owner_client.get(address(plan))):
        assert bad not in page.content.decode()
        assert bad in said(page) or "&lt;script" in page.content.decode()


def test_queries_do_not_grow_with_the_steps(owner_client, plan, knife):
    def queries():
        with CaptureQueriesContext(
            connection,
        ) as caught:
            assert owner_client.get(address(plan)).status_code == 200
        return len(caught)

    few = queries()
    for position in range(6, 26, 2):
        PlanStep.objects.create(
            plan=plan, position=position, kind="trim", per_end=0.0001
        )
        PlanStep.objects.create(
            plan=plan, position=position + 1, kind="grind", face=1e-6, edge=1e-6
        )
    assert queries() == few


def test_list_takes_as_many_queries_for_one_billet_as_for_many(
    owner_client, plan, knife
):
    def queries():
        with CaptureQueriesContext(connection) as caught:
            assert owner_client.get("/billets/").status_code == 200
        return len(caught)

    few = queries()
    for number in range(6):
        other = PlanFactory(title=f"Billet {number}")
        knife = KnifeFactory(order=OrderFactory())
        knife.target.plan = other
        knife.target.save()
    assert queries() == few
