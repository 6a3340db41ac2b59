"""The floor price: the same lines as any order's, and what a named price earns."""

import datetime as dt
import math
from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from django.core.management import call_command
from django.utils import timezone

from billets.models import Plan
from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES
from billets.physics.knife import weigh_knife
from billets.template_files import load_templates
from quotes.errors import QuoteError
from quotes.floor.answer import Call, NoTemplate, Unsuited, floor_price
from quotes.floor.knife import AS_USUAL, HANDLE_CLASSES, class_of, usual_knife
from quotes.floor.orders import save_draft
from quotes.floor.words import floor_view
from quotes.money import from_gross
from quotes.pricing import price_order
from quotes.rate_items import RATE_ITEMS
from shop.learning import forecast, prior, updated
from shop.models import Knife, Order, Rate, TaxSetting
from tests.quotes.orders import LONG_AGO, ready_shop

pytestmark = pytest.mark.django_db

DAY = dt.date(2026, 3, 4)
AT = dt.datetime(2026, 3, 4, 14, 5, tzinfo=dt.UTC)
CENT = Decimal("0.01")


@pytest.fixture
def shop():
    call_command("load_steels", verbosity=0)
    load_templates()
    ready_shop()


def found(family="gyuto", pattern="layers", **asked):
    return floor_price(Call(family=family, pattern=pattern, **asked), DAY, "metric")


def set_rate(key, value):
    Rate.objects.filter(key=key).update(value=Decimal(value))


# --- the sums ------------------------------------------------------------------------


def test_floor_is_cost_with_failures_and_tax_but_no_margin(shop):
    """Common practice, no source: the sum with losses, plus tax; asked price and
    deposit come of it by the shop's margin of the price and share of the total."""
    one = found(length=0.240)
    assert one.floor.net == one.lines.direct + one.lines.risk.amount
    assert one.floor.tax == (one.floor.net * 19 / 100).quantize(CENT)
    assert one.floor.gross == one.floor.net + one.floor.tax
    assert one.price.net == (one.floor.net / Decimal("0.85")).quantize(CENT)
    assert one.deposit.gross == (one.price.gross * 30 / 100).quantize(CENT)


def test_hours_and_cost_with_failures_carry_the_same_share(shop):
    """Law: if only work cost anything, failures would make hours as much dearer as
    money."""
    paid = [
        one.key for one in RATE_ITEMS if one.kind == "money" and one.key != "labour"
    ]
    Rate.objects.filter(key__in=paid).update(value=0)
    for bought in ("steel.", "handle.", "ferrule."):
        Rate.objects.filter(key__startswith=bought).update(value=0)
    one = found()
    assert one.lines.direct == sum(
        line.amount for line in one.lines.lines if line.key == "labour"
    )
    by_hours = one.hours * one.labour
    assert by_hours == pytest.approx(one.lines.price.cost, rel=Decimal("0.0001"))


@pytest.mark.parametrize("named", ["700", "1300", "1850.50", "4000"])
def test_a_named_price_earns_what_is_left_after_all_but_labour(shop, named):
    """Law: (net price - cost of the same knife at an hour that costs nothing), shared
    by the hours; computed the other way round, from costs alone."""
    one = found(named=Decimal(named), length=0.240)
    rate = one.labour
    set_rate("labour", 0)
    rest = found(length=0.240).lines.price.cost
    hours = (one.lines.price.cost - rest) / rate
    net = from_gross(Decimal(named), Decimal(19)).net
    assert one.earned.hour == pytest.approx((net - rest) / hours, abs=Decimal("0.02"))


def test_the_floor_itself_earns_the_shops_hour(shop):
    floor = found().floor.gross
    one = found(named=floor).earned
    assert one.missing == 0
    assert one.hour == pytest.approx(Decimal(50), abs=Decimal("0.01"))


def test_what_is_below_the_floor_is_told_by_how_much(shop):
    one = found(named=Decimal(40))
    assert one.earned.missing == one.floor.gross - 40
    assert one.earned.hour < 0, "materials alone cost more"


def test_hours_the_shop_has_learned_go_into_the_floor(shop, monkeypatch):
    before = found()
    slow = updated(prior(4.2, 0.9, 3), [math.log(7.5)] * 5)
    taught = {"handle": forecast(slow)}
    monkeypatch.setattr("quotes.pricing.learned_hours", lambda rates: taught)
    after = found()
    assert after.hours > before.hours
    assert after.floor.gross > before.floor.gross
    assert {one.row: one.count for one in after.lines.hours}["handle"] == 5


def test_a_small_business_charges_no_tax(shop):
    TaxSetting.objects.update(regime="small")
    one = found(named=Decimal(1000))
    assert one.floor.tax == one.price.tax == one.deposit.tax == 0
    assert one.earned.named.net == 1000


def test_a_longer_knife_and_a_bolster_cost_more(shop):
    short, long = found(length=0.210), found(length=0.270)
    bolster = found(length=0.210, handle="octagon_bolster")
    assert short.floor.gross < long.floor.gross
    assert short.hours < bolster.hours
    assert short.figures.spec.length < long.figures.spec.length


def test_seed_and_chance_of_the_template_hold(shop):
    Plan.objects.filter(template="layers").update(chance=0.95)
    sure = found()
    Plan.objects.filter(template="layers").update(chance=0.5)
    bold = found()
    assert sure.figures.spec.length > bold.figures.spec.length
    assert sure.figures.verdict.chance >= 0.95


# --- the knife -----------------------------------------------------------------------


@pytest.mark.parametrize("family", list(FAMILIES))
def test_every_family_takes_every_handle(family):
    for handle, system in product((AS_USUAL, *HANDLE_CLASSES), ("metric", "inch")):
        spec = usual_knife(family, None, handle, system)
        assert weigh_knife(spec).mass > 0
        if handle:
            assert class_of(spec) == handle


def test_an_asked_length_is_kept_to_the_hair():
    assert usual_knife("gyuto", 0.2413, AS_USUAL, "metric").length == 0.2413


# --- kept as an order ----------------------------------------------------------------


@pytest.mark.parametrize("pattern", ["twist", "core"])
@pytest.mark.parametrize("handle", ["", "scales_bolster"])
def test_draft_order_costs_what_was_said(shop, pattern, handle):
    one = found(
        pattern=pattern, handle=handle, length=0.240, named=Decimal("1234.50"),
        wanted=dt.date(2026, 5, 4),
    )  # fmt: skip
    order = save_draft(one, "Frau Ebereschner", by=None, at=AT)
    order.refresh_from_db()
    assert (order.state, order.customer.name) == ("enquiry", "Frau Ebereschner")
    assert (order.wanted_week, order.named_price) == (dt.date(2026, 5, 4), 1234.5)
    priced = price_order(Order.objects.get(pk=order.pk), DAY)
    assert priced.lines.price == one.lines.price
    assert priced.lines.hours == one.lines.hours
    assert [line.amount for line in priced.lines.lines] == [
        line.amount for line in one.lines.lines
    ]


def test_the_copy_is_a_billet_of_its_own(shop):
    one = found(pattern="twist", length=0.165, family="santoku")
    order = save_draft(one, "", by=None, at=AT)
    knife = Knife.objects.for_list().get(order=order)
    plan = knife.target.plan
    assert plan.pk != one.template.pk
    assert plan.template == ""
    assert plan.length == one.figures.spec.length
    last = plan.steps.last()
    assert last.thickness == one.figures.spec.steps[-1].thickness
    assert "thickness" not in last.typed
    assert last.typed["temperature"] == "1130 °C"
    assert Plan.objects.get(pk=one.template.pk).template == "twist"


def test_whoever_gave_no_name_is_called_by_the_hour(shop):
    order = save_draft(found(), "", by=None, at=AT)
    clock = timezone.localtime(AT)
    assert order.customer.name == f"Caller, 4 March, {clock:%H:%M}"


def test_nothing_is_kept_of_a_draft_that_fails(shop, monkeypatch):
    one = found()
    broken = replace(one, spec=replace(one.spec, height=0.4))
    with pytest.raises(PlanError):
        save_draft(broken, "Nobody", by=None, at=AT)
    assert not Order.objects.exists()
    assert Plan.objects.count() == 5


# --- refused -------------------------------------------------------------------------


def test_a_class_without_a_template_names_the_way_out(shop):
    Plan.objects.filter(template="ladder").update(template="")
    with pytest.raises(NoTemplate, match="is the template for"):
        found(pattern="ladder")


def test_a_template_that_suits_no_such_knife_says_which_and_why(shop):
    twist = Plan.objects.get(template="twist")
    twist.steps.filter(kind="cut").update(pieces=90)
    with pytest.raises(Unsuited) as refused:
        found(family="paring", pattern="twist")
    assert refused.value.template == twist
    assert refused.value.values["reason"].startswith("Step ")
    others = "plain layers, ladder, dimples or layers over a core"
    assert refused.value.values["others"] == others


def test_a_template_nothing_stands_in_for_asks_for_another_length(shop):
    Plan.objects.exclude(template="twist").update(template="")
    Plan.objects.get(template="twist").steps.filter(kind="cut").update(pieces=90)
    with pytest.raises(Unsuited, match="choose another length"):
        found(pattern="twist")


@pytest.mark.parametrize(
    ("family", "pattern", "length"),
    [("paring", "twist", None), ("paring", "twist", 0.075), ("deba", "core", 0.240),
     ("deba", "ladder", 0.240), ("deba", "dimples", 0.240)],
)  # fmt: skip
def test_small_and_stout_knives_get_a_price_too(shop, family, pattern, length):
    one = found(family=family, pattern=pattern, length=length)
    assert one.floor.gross > 0
    assert one.figures.verdict.enough
    stacked = sum(item.mass for item in one.figures.cuts)
    assert stacked > one.figures.targets[0].needed
    assert f"{1000 * stacked:.0f}" in _rows_text(one), "the whole billet is paid"


def _rows_text(one):
    said = " ".join(text for _label, text in floor_view(one, "metric").rows)
    return said.replace("\u00a0", " ").replace(",", "")


@pytest.mark.parametrize(
    ("forget", "says"),
    [
        (lambda: Rate.objects.filter(key="steel.15n20").delete(), "no price"),
        (lambda: Rate.objects.all().delete(), "No rates are in force"),
        (lambda: TaxSetting.objects.all().delete(), "how the shop is taxed"),
        (lambda: Rate.objects.filter(key="labour").delete(), "Bench work|rate"),
    ],
)
def test_whatever_is_missing_is_asked_for(shop, forget, says):
    forget()
    with pytest.raises(QuoteError, match=says):
        found()


def test_rates_of_a_later_day_do_not_count(shop):
    before = found().floor
    later = DAY + dt.timedelta(days=9)
    Rate.objects.create(key="labour", value=Decimal(90), valid_from=later)
    assert found().floor == before
    asked = Call(family="gyuto", pattern="layers")
    assert floor_price(asked, later, "metric").floor.net > before.net
    assert LONG_AGO < DAY
