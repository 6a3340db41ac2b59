"""A stack of the page "how sure" taken for the billet."""

import pytest

from billets.models import Plan, PlanStep, SubmittedForm
from quotes.stacks.sureness import sureness_of
from tests.factories import PlanFactory
from tests.quotes.orders import ready_order, ready_shop
from tests.quotes.sure import address, buttons, page_of, stacks, take
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    ready_shop()
    row = PlanFactory(length=0.1)
    ready_order("One", "Other", plan=row)
    return Plan.objects.get(pk=row.pk)


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
