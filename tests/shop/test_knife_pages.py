"""A knife: its page, its changes, its billet, its way over the bench."""

import pytest

from shop import services, stages
from shop.models import Knife, StageEvent
from tests.factories import KnifeFactory, OrderFactory, PlanFactory, moment
from tests.shop.typing_in import KNIFE, STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def knife():
    """A knife that stands at the forge."""
    return OrderFactory(knives=1, accepted=True).knives.get()


def at(knife):
    return Knife.objects.get(pk=knife.pk).stage


def send(client, knife, act, **data):
    page = client.get(knife.get_absolute_url())
    address = f"{knife.get_absolute_url()}{act}/"
    return client.post(address, {"form_key": key_on(page)} | data)


def gate(stage):
    return [str(number) for number in range(len(stages.gate_of(stage)))]


def edit(client, knife, **changes):
    """Send a changed knife as from a page just opened."""
    page = client.get(f"{knife.get_absolute_url()}edit/")
    data = KNIFE | {"save": "1", "form_key": key_on(page)}
    data["version"] = page.context["version"]
    return client.post(f"{knife.get_absolute_url()}edit/", data | changes)


# --- the page -----------------------------------------------------------------------


def test_page_says_all_about_the_knife(owner_client, knife):
    text = text_of(owner_client.get(knife.get_absolute_url()))
    for said in (
        "Santoku", "163 mm", "2.7 mm", "black walnut", "To pass", "The bar is enough.",
        "Finished knife", "Balance point", "Move on to Grind", "No billet yet",
    ):  # fmt: skip
        assert said.casefold() in text.casefold()
    assert b"<svg" in owner_client.get(knife.get_absolute_url()).content


def test_number_is_read_in_either_case(owner_client, knife):
    assert owner_client.get(f"/knives/{knife.serial.lower()}/").status_code == 200


def test_knife_that_can_no_longer_be_reckoned_still_has_its_page(owner_client, knife):
    Knife.objects.filter(pk=knife.pk).update(heel_thickness=0.001)
    text = text_of(owner_client.get(knife.get_absolute_url()))
    assert "cannot be reckoned any more" in text
    assert "thinner at the heel" in text


def test_untouched_form_changes_nothing(owner_client, knife):
    page = owner_client.get(f"{knife.get_absolute_url()}edit/")
    form = page.context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    before = Knife.objects.values().get(pk=knife.pk)
    sent |= {"save": "1", "form_key": key_on(page), "version": page.context["version"]}
    owner_client.post(f"{knife.get_absolute_url()}edit/", sent)
    after = Knife.objects.values().get(pk=knife.pk)
    changed = {name for name in before if before[name] != after[name]}
    assert changed <= {"version", "typed"}
    assert after["version"] == before["version"] + 1


# --- changes ------------------------------------------------------------------------


def test_changed_knife_changes_what_the_bar_must_hold(owner_client, knife):
    needed = knife.target.needed
    page = edit(owner_client, knife, heel_thickness="3.3", name="Heavy one")
    assert page.status_code == 302
    knife = Knife.objects.get(pk=knife.pk)
    assert knife.name == "Heavy one"
    assert knife.heel_thickness == 0.0033
    assert knife.target.needed > needed


def test_name_nobody_gave_follows_the_length(owner_client, knife):
    edit(owner_client, knife, name="")
    edit(owner_client, knife, name="Santoku 163 mm", length="170")
    assert Knife.objects.get(pk=knife.pk).name == "Santoku 170 mm"


def test_try_on_a_saved_knife_saves_nothing(owner_client, knife):
    page = edit(owner_client, knife, length="170", save="", **{"try": "1"})
    assert page.status_code == 302  # "save" was pressed as well
    data = KNIFE | {"try": "1", "length": "180", "version": "1"}
    page = owner_client.post(f"{knife.get_absolute_url()}edit/", data)
    assert page.status_code == 200
    assert Knife.objects.get(pk=knife.pk).length == 0.170


@pytest.mark.parametrize("typed", ["62", "62 HRC", "62hrc", "62,0 HRC"])
def test_hardness_may_say_its_scale(owner_client, knife, typed):
    edit(owner_client, knife, hardness=typed)
    assert Knife.objects.get(pk=knife.pk).hardness == 62.0


def test_impossible_change_is_said_beside_its_box(owner_client, knife):
    page = edit(owner_client, knife, middle_thickness="2.9")
    assert "thinner at the heel" in errors_on(page, "heel_thickness")
    assert Knife.objects.get(pk=knife.pk).middle_thickness == knife.middle_thickness


def test_second_of_two_savers_sees_both_values_and_may_insist(owner_client, knife):
    page = owner_client.get(f"{knife.get_absolute_url()}edit/")
    mine = KNIFE | {
        "save": "1",
        "form_key": key_on(page),
        "length": "171",
        "note": "mine",
    }
    mine["version"] = page.context["version"]
    edit(owner_client, knife, length="155")

    told = owner_client.post(f"{knife.get_absolute_url()}edit/", mine)
    assert told.status_code == 200
    text = text_of(told)
    assert "Somebody else saved this" in text
    assert "171 mm" in text
    assert "155 mm" in text
    assert told.context["form"]["length"].value() == "171"
    assert told.context["form"]["note"].value() == "mine"
    assert Knife.objects.get(pk=knife.pk).length == 0.155

    mine["version"] = told.context["version"]
    assert (
        owner_client.post(f"{knife.get_absolute_url()}edit/", mine).status_code == 302
    )
    assert Knife.objects.get(pk=knife.pk).length == 0.171


def test_old_page_with_a_mistake_in_it_stays_an_old_page(owner_client, knife):
    page = owner_client.get(f"{knife.get_absolute_url()}edit/")
    mine = KNIFE | {"save": "1", "form_key": key_on(page), "length": "wide"}
    mine["version"] = page.context["version"]
    edit(owner_client, knife, length="155")
    again = owner_client.post(f"{knife.get_absolute_url()}edit/", mine)
    mine |= {"length": "171", "version": again.context["version"]}
    told = owner_client.post(f"{knife.get_absolute_url()}edit/", mine)
    assert told.context["differences"]
    assert Knife.objects.get(pk=knife.pk).length == 0.155


@pytest.mark.parametrize("version", ["", "abc", "-1", "9" * 30])
def test_form_without_its_version_overwrites_nothing(owner_client, knife, version):
    told = edit(owner_client, knife, length="171", version=version)
    assert told.context["differences"]
    assert Knife.objects.get(pk=knife.pk).length == 0.163


def test_knife_is_added_to_an_order(owner_client):
    order = OrderFactory(knives=1)
    address = f"{order.get_absolute_url()}knives/new/"
    data = KNIFE | {"save": "1", "form_key": key_on(owner_client.get(address))}
    assert owner_client.post(address, data).status_code == 302
    assert owner_client.post(address, data).status_code == 302  # the same form again
    assert order.knives.count() == 2
    assert len(set(order.knives.values_list("mark", flat=True))) == 2


def test_knife_is_made_again_like_a_scrapped_one(owner_client, knife):
    services.change_knife(knife, {"length": 0.158})
    send(owner_client, knife, "leave", to="scrapped", reason="open weld")
    address = f"{knife.order.get_absolute_url()}knives/new/?like={knife.serial}"
    page = owner_client.get(address)
    assert page.context["form"]["length"].value() == "158"
    data = KNIFE | {"save": "1", "form_key": key_on(page)}
    owner_client.post(address, data)
    again = knife.order.knives.last()
    assert again.pk != knife.pk
    assert again.stage == "forge"


def test_closed_order_takes_no_more_knives(owner_client):
    order = OrderFactory(knives=1)
    services.change_state(order, "declined")
    address = f"{order.get_absolute_url()}knives/new/"
    data = KNIFE | {"save": "1", "form_key": key_on(owner_client.get(address))}
    page = owner_client.post(address, data)
    assert "is closed; open a new enquiry" in text_of(page)
    assert order.knives.count() == 1


# --- the bench ----------------------------------------------------------------------


def test_knife_walks_the_bench_with_every_gate_ticked(owner_client, owner, knife):
    for stage, nearest in zip(stages.STAGES, stages.STAGES[1:], strict=False):
        page = send(owner_client, knife, "move", to=nearest.key, gate=gate(stage.key))
        assert page.status_code == 302
        assert at(knife) == nearest.key
    events = list(StageEvent.objects.filter(knife=knife))
    assert [event.stage for event in events] == [stage.key for stage in stages.STAGES]
    assert {event.by for event in events[1:]} == {owner}
    assert all(event.gate_passed for event in events[1:])
    knife.order.refresh_from_db()
    assert knife.order.state == "delivered"
    text = text_of(owner_client.get(knife.get_absolute_url()))
    assert "Sharpen → Delivered" in text
    assert "anvil" in text


@pytest.mark.parametrize("ticked", [[], ["0"], ["0", "1"]])
def test_gate_ticked_in_part_keeps_the_knife(owner_client, knife, ticked):
    page = send(owner_client, knife, "move", to="grind", gate=ticked)
    assert page.status_code == 200
    assert "tick it before the knife goes on" in errors_on(page, "gate")
    assert at(knife) == "forge"


def test_skipped_stage_is_refused_with_the_next_one_named(owner_client, knife):
    page = send(owner_client, knife, "move", to="harden", gate=gate("forge"))
    assert "A knife cannot go from Forge to Harden" in text_of(page)
    assert "the stage after it is Grind" in text_of(page)
    assert at(knife) == "forge"


@pytest.mark.parametrize("to", ["", "scrapped", "no such", "forge", "delivered"])
def test_odd_targets_are_refused(owner_client, knife, to):
    page = send(owner_client, knife, "move", to=to, gate=gate("forge"))
    assert page.status_code == 200
    assert not any(words in page.content.decode() for words in STOCK_WORDS)
    assert at(knife) == "forge"


def test_move_sent_twice_moves_once(owner_client, knife):
    page = owner_client.get(knife.get_absolute_url())
    data = {"form_key": key_on(page), "to": "grind", "gate": gate("forge")}
    for _time in range(2):
        answer = owner_client.post(f"{knife.get_absolute_url()}move/", data)
        assert answer.status_code in (200, 302)
    assert at(knife) == "grind"
    assert StageEvent.objects.filter(knife=knife, stage="grind").count() == 1


def test_work_does_not_begin_before_the_yes(owner_client):
    knife = KnifeFactory()
    page = send(owner_client, knife, "move", to="forge", gate=["0"])
    assert page.status_code == 200
    with pytest.raises(stages.StageError, match="accepted"):
        services.move_knife(knife, "forge", gate_passed=True, by=None, at=moment())
    assert at(knife) == ""


def test_wrong_move_is_corrected_with_its_reason(owner_client, knife):
    send(owner_client, knife, "move", to="grind", gate=gate("forge"))
    page = send(owner_client, knife, "back", stage="forge", reason="")
    assert "empty" in errors_on(page, "back_reason")
    assert at(knife) == "grind"
    page = send(owner_client, knife, "back", stage="forge", reason="the other knife")
    assert page.status_code == 302
    assert at(knife) == "forge"
    text = text_of(owner_client.get(knife.get_absolute_url()))
    assert "the other knife" in text
    assert "Grind → Forge" in text


def test_correction_never_carries_a_knife_on(owner_client, knife):
    page = send(owner_client, knife, "back", stage="harden", reason="in a hurry")
    assert page.status_code == 200
    assert at(knife) == "forge"


def test_scrapped_knife_says_why_and_its_customer_still_waits(owner_client, knife):
    page = send(owner_client, knife, "leave", to="scrapped", reason="\u200b")
    assert page.status_code == 200
    assert at(knife) == "forge"
    send(owner_client, knife, "leave", to="scrapped", reason="open weld at the heel")
    assert at(knife) == "scrapped"
    knife.order.refresh_from_db()
    assert knife.order.state == "accepted"
    assert "Make it again" in text_of(owner_client.get(knife.get_absolute_url()))
    assert "No knife of it is at the bench" in text_of(owner_client.get("/"))


def test_scrapping_by_mistake_is_taken_back(owner_client, knife):
    send(owner_client, knife, "leave", to="scrapped", reason="wrong knife")
    page = send(owner_client, knife, "back", stage="forge", reason="the other one")
    assert page.status_code == 302
    assert at(knife) == "forge"


# --- the billet ---------------------------------------------------------------------


def test_knife_is_given_a_billet_and_taken_off_it(owner_client, knife):
    plan = PlanFactory(title="Eleven layers")
    assert "Eleven layers" in text_of(owner_client.get(knife.get_absolute_url()))
    assert send(owner_client, knife, "billet", plan=plan.pk).status_code == 302
    assert list(plan.targets.all()) == [knife.target]
    send(owner_client, knife, "billet", plan="")
    assert not plan.targets.exists()


@pytest.mark.parametrize("plan", ["0", "-1", "abc", "9" * 30])
def test_billet_that_is_not_there_is_refused(owner_client, knife, plan):
    page = send(owner_client, knife, "billet", plan=plan)
    assert page.status_code == 200
    assert errors_on(page, "plan") in (
        "Choose one of the list.",
        "Choose from the list.",
    )


def test_knife_that_never_began_frees_its_billet_when_cancelled(owner_client):
    knife = KnifeFactory()
    plan = PlanFactory()
    services.assign_plan(knife, plan)
    send(owner_client, knife, "leave", to="cancelled", reason="one is enough")
    assert at(knife) == "cancelled"
    assert not plan.targets.exists()
