"""Fitting the stack to a chance, and the way out where a billet is short."""

import re

import pytest

from billets.models import Plan
from tests.billets.typing_in import address, boxes, errors, said, send
from tests.factories import KnifeFactory, OrderFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def heavy(knife):
    """A knife that takes half a kilogram of bar."""
    knife.target.needed = 0.5
    knife.target.save()
    return knife


def chance_on(page):
    return int(re.search(r"chance of (?:more than )?(\d+) %", said(page))[1])


def test_fit_by_length_writes_whole_millimetres_and_saves_nothing(
    owner_client, plan, knife
):
    page = send(owner_client, address(plan), "fit=length")
    fitted = boxes(page)["length"]
    assert fitted.isdigit()
    told = re.search(
        r"With 80 %: (\d+) mm; if all goes as planned: (\d+) mm", said(page)
    )
    assert told[1] == fitted
    assert int(told[2]) < int(fitted)
    assert "Enough with a chance of 8" in said(page)
    assert Plan.objects.get().length == plan.length


def test_one_millimetre_less_than_fitted_is_short(owner_client, plan, heavy):
    """The least stack that suffices: the law that makes a fit a fit."""
    data = boxes(send(owner_client, address(plan), "fit=length"))
    less = str(int(data["length"]) - 1)
    page = owner_client.post(address(plan), data | {"try": "1", "length": less})
    assert re.search(r"Short by \d g:", said(page))
    assert chance_on(page) <= 80


def test_short_billet_names_the_length_that_would_do(owner_client, plan, heavy):
    page = send(owner_client, address(plan), "try", length="80")
    assert re.search(r"Short by \d+ g:", said(page))
    named_length = re.search(r"Lengthen the stack to (\d+) mm", said(page))[1]
    fitted = boxes(send(owner_client, address(plan), "fit=length"))["length"]
    assert named_length == fitted


def test_surer_means_longer(owner_client, plan, knife):
    lengths = [
        int(
            boxes(send(owner_client, address(plan), "fit=length", chance=one))["length"]
        )
        for one in ("50", "80", "95")
    ]
    assert lengths == sorted(set(lengths))


def test_two_knives_need_a_longer_stack_than_one(owner_client, plan, knife):
    one = int(boxes(send(owner_client, address(plan), "fit=length"))["length"])
    other = KnifeFactory(order=OrderFactory())
    other.target.plan = plan
    other.target.save()
    two = int(boxes(send(owner_client, address(plan), "fit=length"))["length"])
    assert two > 1.5 * one


def test_fit_by_pieces_goes_on_with_the_order(owner_client, plan, knife):
    page = send(owner_client, address(plan), "fit=pieces", length="90", order="AB")
    order = boxes(page)["order"]
    assert re.fullmatch(r"(AB)+|\d+\(AB\)", order)
    assert re.search(
        r"With 80 %: \d+ pieces; if all goes as planned: \d+ p", said(page)
    )
    assert boxes(page)["length"] == "90"


def test_fit_needs_no_length_to_begin_with(owner_client, plan, knife):
    page = send(owner_client, address(plan), "fit=length", length="")
    assert errors(page) == {}
    assert boxes(page)["length"].isdigit()


def test_fitted_stack_is_saved_by_saving(owner_client, plan, knife):
    data = boxes(send(owner_client, address(plan), "fit=length"))
    owner_client.post(address(plan), data | {"save": "1"})
    assert Plan.objects.get().length == pytest.approx(int(data["length"]) / 1000)
    assert boxes(owner_client.get(address(plan)))["length"] == data["length"]


def test_nothing_to_fit_to_is_said(owner_client, plan):
    page = send(owner_client, address(plan), "fit=length")
    assert "There is nothing to fit to" in said(page)


def test_stack_that_never_suffices_says_so(owner_client, plan, knife):
    """Ground to less than the knife needs, the billet ends whatever its length."""
    thin = {"step_4_kind": "grind", "step_4_face": "17", "step_4_edge": "0"}
    page = send(owner_client, address(plan), "fit=length", **thin)
    assert errors(page)
    assert boxes(page)["length"] == "137"


def test_bar_that_ends_too_thin_is_to_be_drawn_thicker(owner_client, plan, knife):
    page = send(
        owner_client, address(plan), "try", length="300", step_4_thickness="1.5"
    )
    assert "The bar comes out too thin" in said(page)
    assert "draw the last step thicker" in said(page)


def test_verdict_is_said_in_the_save_bar_too(owner_client, plan, heavy):
    page = send(owner_client, address(plan), "try", length="80")
    bar = re.search(r'<output id="said">(.*?)</output>', page.content.decode())[1]
    assert bar.startswith("Short by")
