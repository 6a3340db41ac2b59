"""Twist, ladder, dimples and core on the page: added, saved, opened, refused."""

import pytest

from billets.figures import figures_of
from billets.models import Plan, PlanStep
from tests.billets.typing_in import address, boxes, errors, rows, send
from tests.factories import BarSizeFactory

pytestmark = pytest.mark.django_db

KINDS = {
    "twist": {"turns": "1.5", "octagon": "on"},
    "ladder": {"groove_shape": "round", "depth": "2 mm", "groove": "3 mm",
               "pitch": "12 mm"},
    "dimple": {"drill": "6 mm", "depth": "2", "pitch": "12", "point": "120"},
}  # fmt: skip


def with_step(client, plan, kind, texts, **changes):
    """Put a step in the place of the last draw; a bar to twist is drawn square."""
    data = boxes(client.get(address(plan)))
    draw = {"step-1-width": "14", "step-1-thickness": "14"} if kind == "twist" else {}
    sent = {
        "step-2-kind": kind, "steps": "3",
        **{f"step-2-{name}": text for name, text in texts.items()},
        **draw, **changes,
    }  # fmt: skip
    return client.post(address(plan), data | sent | {"save": "1"})


@pytest.mark.parametrize(("kind", "texts"), KINDS.items())
def test_a_step_is_saved_and_shown_again(owner_client, plan, kind, texts):
    answer = with_step(owner_client, plan, kind, texts)
    assert answer.status_code == 302, errors(answer)
    step = PlanStep.objects.get(plan=plan, position=3)
    assert step.kind == kind
    data = boxes(owner_client.get(address(plan)))
    assert {name: data[f"step-2-{name}"] for name in texts} == texts
    figures = figures_of(Plan.objects.whole().get())
    assert [one.kind for one in figures.plain.pattern] == [kind]
    before = rows(plan)
    send(owner_client, address(plan))
    assert rows(plan) == before


def test_an_octagon_left_out_stays_out(owner_client, plan):
    with_step(owner_client, plan, "twist", {"turns": "1"})
    assert not PlanStep.objects.get(kind="twist").octagon
    assert "step-2-octagon" not in boxes(owner_client.get(address(plan)))


def test_a_new_twist_begins_with_its_corners_ground_off(owner_client, plan):
    data = boxes(owner_client.get(address(plan)))
    page = owner_client.post(address(plan), data | {"add": "1", "add_kind": "twist"})
    assert boxes(page)["step-5-octagon"] == "on"


def test_a_core_is_saved_cut_and_counted(owner_client, plan):
    bar = BarSizeFactory(steel=plan.bars.first().bar.steel, thickness=0.006, width=0.05)
    data = boxes(owner_client.get(address(plan)))
    sent = {"step-2-kind": "core", "step-2-core": str(bar.pk)}
    answer = owner_client.post(address(plan), data | sent | {"save": "1"})
    assert answer.status_code == 302, errors(answer)
    assert PlanStep.objects.get(kind="core").core == bar
    figures = figures_of(Plan.objects.whole().get())
    assert figures.plain.added > 0.0
    item = figures.cuts[-1]
    assert (item.letter, item.bar.thickness) == ("", 0.006)
    assert boxes(owner_client.get(address(plan)))["step-2-core"] == str(bar.pk)


@pytest.mark.parametrize(
    ("kind", "texts", "box"),
    [
        ("twist", {"turns": ""}, "step-2-turns"),
        ("twist", {"turns": "0"}, "step-2-turns"),
        ("twist", {"turns": "many"}, "step-2-turns"),
        ("twist", {"turns": "9000"}, "step-2-turns"),
        ("ladder", {**KINDS["ladder"], "depth": "7 mm"}, "step-2-depth"),
        ("ladder", {**KINDS["ladder"], "pitch": "1 mm"}, "step-2-pitch"),
        ("ladder", {**KINDS["ladder"], "groove": ""}, "step-2-groove"),
        ("dimple", {**KINDS["dimple"], "depth": "deep"}, "step-2-depth"),
        ("dimple", {**KINDS["dimple"], "pitch": "2"}, "step-2-pitch"),
        ("core", {}, "step-2-core"),
        ("core", {"core": "999999"}, "step-2-core"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box(owner_client, plan, kind, texts, box):
    before = rows(plan)
    answer = with_step(owner_client, plan, kind, texts)
    assert answer.status_code == 200
    assert box in errors(answer)
    kept = boxes(answer)
    typed = {f"step-2-{name}": text for name, text in texts.items() if name != "core"}
    assert {name: kept[name] for name in typed} == typed
    assert rows(plan) == before


def test_a_flat_bar_is_not_twisted(owner_client, plan):
    flat = {"step-1-width": "33", "step-1-thickness": "8"}
    answer = with_step(owner_client, plan, "twist", {"turns": "1"}, **flat)
    assert "draw it square" in answer.content.decode()


def test_a_bar_too_narrow_for_a_core_is_refused(owner_client, plan):
    bar = BarSizeFactory(steel=plan.bars.first().bar.steel, thickness=0.006, width=0.02)
    data = boxes(owner_client.get(address(plan)))
    sent = {"step-2-kind": "core", "step-2-core": str(bar.pk), "save": "1"}
    answer = owner_client.post(address(plan), data | sent)
    assert "step-2-core" in errors(answer)
