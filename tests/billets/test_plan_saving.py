"""A billet saved: once, unchanged where untouched, by one of two who save."""

import pytest

from billets.models import Plan, PlanStep
from tests.billets.typing_in import address, boxes, errors, named, rows, said, send

pytestmark = pytest.mark.django_db

NEW = "/billets/new/"


# --- saved ---------------------------------------------------------------------------


def test_untouched_page_saves_the_very_same_values(owner_client, plan, knife):
    send(owner_client, address(plan))  # numbers nobody gave are kept from now on
    PlanStep.objects.filter(plan=plan, position=2).update(
        width=0.1 / 3, thickness=1e-2 / 3
    )
    Plan.objects.filter(pk=plan.pk).update(length=0.137123456789012, chance=2 / 3)
    before = rows(plan)
    assert send(owner_client, address(plan)).status_code == 302
    assert rows(plan) == before
    assert Plan.objects.get().version == 3


def test_saving_does_not_change_what_a_billet_comes_to(owner_client, plan, knife):
    """A step without numbers is reckoned with the usual ones, before and after."""

    def figures(page):
        return page.context["trial"].summary.rows

    before = figures(owner_client.get(address(plan)))
    assert PlanStep.objects.filter(plan=plan, kind="draw", temperature=None).exists()
    send(owner_client, address(plan))
    assert not PlanStep.objects.filter(
        plan=plan, kind="draw", temperature=None
    ).exists()
    assert figures(owner_client.get(address(plan))) == before


def test_moved_steps_keep_their_very_values(owner_client, plan):
    thin = 0.0055 + 1e-13
    PlanStep.objects.filter(plan=plan, position=5).update(thickness=thin)
    page = send(owner_client, address(plan), "remove=3")
    page = owner_client.post(address(plan), boxes(page) | {"remove": "3"})
    owner_client.post(address(plan), boxes(page) | {"save": "1"})
    assert [step.kind for step in plan.steps.all()] == ["weld", "draw", "draw"]
    assert plan.steps.last().thickness == thin


def test_text_is_shown_again_as_it_was_typed(owner_client, plan):
    changes = {"length": "5 1/2 in", "step_1_thickness": "1/2 in", "order": "5(AB)A"}
    assert send(owner_client, address(plan), **changes).status_code == 302
    data = boxes(owner_client.get(address(plan)))
    assert {name: data[name] for name in named(changes)} == named(changes)
    assert Plan.objects.get().length == 0.1397


def test_second_of_two_savers_sees_both_and_may_insist(owner_client, plan):
    data = boxes(owner_client.get(address(plan))) | {"save": "1"}
    send(owner_client, address(plan), length="151", step_4_thickness="5")
    mine = data | named({"length": "144", "step_1_thickness": "11"})

    told = owner_client.post(address(plan), mine)
    assert told.status_code == 200
    text = said(told)
    assert "Somebody else saved this" in text
    for words in ("144 mm", "151 mm", "Step 2 Draw out, to 33 × 11 mm",
                  "Step 5 Draw out, to 36 × 5.5 mm"):  # fmt: skip
        assert words in text
    assert boxes(told)["length"] == "144"
    assert Plan.objects.get().length == 0.151

    owner_client.post(address(plan), boxes(told) | {"save": "1"})
    plan = Plan.objects.get()
    assert (plan.length, plan.version) == (0.144, 3)


def test_saver_is_told_that_a_knife_changed_meanwhile(owner_client, plan, knife):
    data = boxes(owner_client.get(address(plan))) | {"save": "1"}
    send(owner_client, address(plan))
    text = said(owner_client.post(address(plan), data))
    assert "A knife of this billet was changed" in text


@pytest.mark.parametrize("version", ["", "x", "-1", "99999999999999999999", "٣"])
def test_nonsense_as_version_saves_nothing(owner_client, plan, version):
    before = rows(plan)
    page = send(owner_client, address(plan), length="151", version=version)
    assert page.status_code == 200
    assert rows(plan) == before


def test_copy_is_another_billet_and_leaves_the_first(owner_client, plan, knife):
    before = rows(plan)
    page = owner_client.get(f"{NEW}?like={plan.pk}")
    assert "No knife is to come" in said(page)
    assert not Plan.objects.exclude(pk=plan.pk).exists()
    owner_client.post(NEW, boxes(page) | {"save": "1"})
    copy = Plan.objects.exclude(pk=plan.pk).get()
    assert copy.title == "Test billet, again"
    ours, theirs = rows(plan), rows(copy)
    assert ours == before
    same = ("order", "length", "width", "forge_id", "tool_id", "saw_id", "chance")
    assert [ours[0][one] for one in same] == [theirs[0][one] for one in same]
    assert [step["thickness"] for step in ours[1]] == [
        step["thickness"] for step in theirs[1]
    ]


def test_bar_no_longer_on_offer_stays_in_its_billet(owner_client, plan):
    bar = plan.bars.first().bar
    bar.on_offer = False
    bar.save()
    plan.saw.in_use = False
    plan.saw.save()
    assert send(owner_client, address(plan)).status_code == 302
    assert plan.bars.first().bar == bar


# --- close to burning ------------------------------------------------------------


def test_heat_close_to_burning_needs_its_tick(owner_client, plan):
    """Solidus less 100 K is red (hot work, common practice): 0.8 % carbon, 1282 C."""
    page = send(owner_client, address(plan), step_0_temperature="1285")
    assert "tick this knowingly" in errors(page)["hot_tick"]
    assert plan.steps.first().temperature == 1500.0
    page = send(owner_client, address(plan), step_0_temperature="1285", hot_tick="on")
    assert page.status_code == 302
    assert Plan.objects.get().hot_tick


def test_tick_of_hotter_days_is_forgotten(owner_client, plan):
    send(owner_client, address(plan), step_0_temperature="1285", hot_tick="on")
    send(owner_client, address(plan), step_0_temperature="1220", hot_tick="on")
    assert not Plan.objects.get().hot_tick


def test_amber_heat_is_said_once_for_all_its_steps(owner_client, plan):
    page = send(
        owner_client, address(plan), "try",
        step_0_temperature="1240", step_3_temperature="1240",
    )  # fmt: skip
    assert said(page).count("is close to where Dark steel starts to burn") == 1
    assert "Step 1 and 4: 1,240 °C" in said(page)
