"""Names of billets lose whoever they were made for, and keep every other word."""

import pytest
from django.utils import timezone, translation

from billets.choices import pattern_class
from quotes.floor.orders import caller_at
from quotes.privacy.billet_names import without_caller
from quotes.privacy.erasing import erase
from shop import services
from shop.models import Order
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory, PlanFactory

pytestmark = pytest.mark.django_db


def billet_of(title, *, name="Ada", unnamed=False, note="", also=None):
    """The billet of a customer's knife after the customer is erased."""
    customer = CustomerFactory(name=name, unnamed=unnamed)
    plan = PlanFactory(title=title, note=note)
    for one in filter(None, (customer, also)):
        knife = KnifeFactory(order=OrderFactory(customer=one))
        services.assign_plan(knife, plan)
    Order.objects.update(state="delivered")
    erase(customer, reason="asked", at=timezone.now())
    plan.refresh_from_db()
    return plan


@pytest.mark.parametrize("language", ["en", "de"])
def test_day_and_time_of_a_call_go_when_the_caller_got_a_name_of_one_word(language):
    with translation.override(language):
        called = caller_at(timezone.now())
        pattern = str(pattern_class()[0][1])
    title = f"Gyuto 240, {pattern}: {called}"
    assert billet_of(title[:80], name="Ada").title == f"Gyuto 240, {pattern}: …"


@pytest.mark.parametrize(
    ("title", "left"),
    [
        ("Gyuto, {p}: Ada", "Gyuto, {p}: …"),
        ("Gyuto, {p}: Li", "Gyuto, {p}: …"),
        ("Gyuto, {p}: Ada Lovelorn, from the market", "Gyuto, {p}: …"),
        ("Big knife, long, {p}: Ada", "Big knife, long, {p}: …"),
        ("Gyuto: second try", "Gyuto: second try"),
        ("Gyuto, {p}", "Gyuto, {p}"),
        ("Stock: 300 layers, cold", "Stock: 300 layers, cold"),
    ],
)
def test_caller_is_known_by_the_place_in_the_name(title, left):
    pattern = str(pattern_class()[0][1])
    assert without_caller(title.format(p=pattern)) == left.format(p=pattern)


def test_month_of_a_call_goes_from_no_other_words():
    """The name of a caller nobody asked holds a month and an hour, which are words."""
    name = caller_at(timezone.now())
    month = name.split()[2].strip(",")
    note = f"Welded in {month}, cold; {name} rang"
    plan = billet_of(f"For {name}", name=name, unnamed=True, note=note)
    assert (plan.title, plan.note) == ("For …", f"Welded in {month}, cold; … rang")


def test_small_words_of_a_name_are_words():
    plan = billet_of("Two of the bars for Smith, von oben", name="Ida von Smith of")
    assert plan.title == "Two of the bars for …, von oben"
    assert billet_of("for ida and anna", name="ida berg").title == "for … and anna"
    assert billet_of("Weld Berg's bar", name="Berg, Ida").title == "Weld …'s bar"


def test_billet_that_somebody_elses_knife_is_made_of_keeps_their_name():
    other = CustomerFactory(name="Bob Stone")
    pattern = str(pattern_class()[0][1])
    plan = billet_of(f"Gyuto, {pattern}: Bob Stone and Ada", also=other)
    assert plan.title == f"Gyuto, {pattern}: Bob Stone and …"
