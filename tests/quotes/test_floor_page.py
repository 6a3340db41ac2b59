"""The page of the floor price: an answer at once, errors beside boxes, one order."""

import datetime as dt
import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from billets.models import Plan
from billets.template_files import load_templates
from shop.models import Customer, Knife, Order, Rate, Shop, TaxSetting
from shop.weeks import monday_of
from tests.quotes.orders import number_in, ready_shop

pytestmark = pytest.mark.django_db

PAGE = "/floor/"
BOXES = ["family", "length", "pattern", "handle", "wanted", "named"]


@pytest.fixture
def shop():
    call_command("load_steels", verbosity=0)
    load_templates()
    ready_shop()


def text(answer):
    bare = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(unescape(bare).replace("\u00a0", " ").split())


def save(client, page, **changes):
    form = page.context["form"]
    data = {name: form[name].value() or "" for name in BOXES}
    data["form_key"] = form.key
    return client.post(PAGE, data | changes)


# --- the answer ----------------------------------------------------------------------


def test_first_visit_answers_for_the_usual_knife(owner_client, shop):
    page = owner_client.get(PAGE)
    said = text(page)
    assert "A 210 mm gyuto in plain layers with an octagon handle starts at €" in said
    assert said.index("Show the price") < said.index("Floor €")
    assert "Asked price" in said
    assert "Deposit" in said
    for later in ("Uncalibrated", "Save as a draft order", "What stands behind it"):
        assert later not in said
    assert page.context["form"]["length"].value() == "210"


def test_what_was_asked_is_answered_above_the_boxes(owner_client, shop):
    said = text(owner_client.get(PAGE, {"family": "gyuto"}))
    order = ["Floor price Floor €", "starts at", "Show the price", "Name of the caller",
             "Save as a draft order", "When", "What stands behind it",
             "Uncalibrated", "No hours have been learned from finished knives",
             "Cost with its failures, no margin."]  # fmt: skip
    places = [said.index(one) for one in order]
    assert places == sorted(places)


def test_length_is_said_whole_or_in_the_inches_typed(owner_client, shop):
    asked = {"length": "8 1/4 in"}
    assert "A 210 mm gyuto" in text(owner_client.get(PAGE, asked))
    Shop.objects.update(units="inch")
    assert "A 8.25 in gyuto" in text(owner_client.get(PAGE, asked))


def test_it_takes_six_boxes_at_most(owner_client, shop):
    page = owner_client.get(PAGE)
    form = re.search(r'<form method="get".*?</form>', page.content.decode(), re.DOTALL)
    shown = re.findall(r'<(?:select|input)[^>]*name="(\w+)"', form[0])
    assert [name for name in shown if name not in ("filled", "call")] == BOXES


def test_sentence_to_say_holds_the_figures_in_round_money(owner_client, shop):
    """What is said is never less than what is meant: whole money, rounded up."""
    asked = {"length": "240", "pattern": "twist", "handle": "d_bolster"}
    page = owner_client.get(PAGE, asked)
    found, aloud = page.context["found"], page.context["view"].aloud
    assert "240\u00a0mm gyuto in a twist pattern with a D handle and a bolster" in aloud
    told = [number_in(one) for one in re.findall(r"€[\d,]+", aloud)]
    for amount, one in zip(
        told, (found.floor, found.price, found.deposit), strict=True
    ):
        assert 0 <= amount - one.gross < 1


def test_page_says_which_template_stood_behind_it(owner_client, shop):
    page = owner_client.get(PAGE, {"pattern": "ladder"}).content.decode()
    plan = Plan.objects.get(template="ladder")
    assert f'<a href="{plan.get_absolute_url()}">Template: ladder</a>' in page


@pytest.mark.parametrize(
    ("share", "level", "says"),
    [
        ("0.5", "stop", "is below the floor by €"),
        ("1.05", "warn", "is above the floor, and less than you would ask"),
        ("1.5", "ok", "is no less than you would ask"),
        ("0.02", "stop", "every hour would cost you €"),
    ],
)
def test_named_price_is_said_with_what_it_would_earn(
    owner_client, shop, share, level, says
):
    floor = owner_client.get(PAGE).context["found"].floor.gross
    named = (floor * Decimal(share)).quantize(Decimal("0.01"))
    page = owner_client.get(PAGE, {"named": str(named)})
    assert page.context["view"].named.level == level
    said = text(page)
    assert says in said
    assert "€50.00" in said or share == "0.02"


def test_wanted_week_gets_a_chance(owner_client, shop):
    day = timezone.localdate() + dt.timedelta(weeks=6)
    said = text(owner_client.get(PAGE, {"wanted": day.isoformat()}))
    assert "The chance to be done by the wanted week is" in said
    assert "a rough guess: holidays and leave are not in it" in said


def test_another_family_brings_its_own_usual_length(owner_client, shop):
    asked = {"family": "petty", "length": "210", "filled": "gyuto"}
    page = owner_client.get(PAGE, asked)
    assert page.context["form"]["length"].value() == "150"
    kept = owner_client.get(PAGE, asked | {"length": "165 mm"})
    assert kept.context["form"]["length"].value() == "165 mm"


def test_amounts_without_tax_say_so(owner_client, shop):
    TaxSetting.objects.update(regime="small")
    page = owner_client.get(PAGE, {"family": "gyuto"})
    assert "Without tax: none is charged." in text(page)


# --- bad input -----------------------------------------------------------------------

BAD = [
    ("family", "spoon", "Choose one of the list."),
    ("pattern", "mosaic", "Choose one of the list."),
    ("handle", "crown", "Choose one of the list."),
    ("length", "900", "cannot be reckoned for this kind of knife"),
    ("length", "wide", "cannot be read"),
    ("length", "2,400", "two ways"),
    ("length", "-3", "“-3”"),
    ("named", "-200", "Type 0.00 or more."),
    ("named", "a lot", "“a lot”"),
    ("named", "900 GBP", "“900 GBP” is in GBP, and this shop reckons in EUR"),
    ("named", "$ 900", "is in USD"),
    ("named", "99999999999", "or less"),
    ("wanted", "2020-01-06", "This week is over"),
    ("wanted", "soon", "no day of the calendar"),
]


def test_bad_input_is_said_beside_its_box_and_no_price_is_shown(owner_client, shop):
    for name, typed, says in BAD:
        page = owner_client.get(PAGE, {name: typed})
        assert page.status_code == 200
        form, said = page.context["form"], text(page)
        assert says in " ".join(form.errors[name]), (name, typed)
        assert form[name].value() == typed
        assert page.context.get("found") is None
        assert "starts at" not in said
        assert "Save as a draft order" not in said


def test_bad_input_saves_nothing(owner_client, shop):
    page = owner_client.get(PAGE)
    for name, typed, _says in BAD:
        assert save(owner_client, page, **{name: typed}).status_code == 200
    assert not Order.objects.exists()
    assert not Customer.objects.exists()


def test_own_sign_and_code_are_read(owner_client, shop):
    for typed in ("€ 1200", "1200 EUR", "1200 €"):
        page = owner_client.get(PAGE, {"named": typed})
        assert page.context["found"].asked.named == 1200


def test_what_is_missing_is_a_sentence_with_the_way_out(owner_client, shop):
    for forget, says, link in (
        (Plan.objects.filter(template="core").update, "is the template for", "plans"),
        (Rate.objects.filter(key="steel.1084").delete, "no price", "rates"),
        (TaxSetting.objects.all().delete, "how the shop is taxed", "shop"),
        (Rate.objects.all().delete, "No rates are in force", "rates"),
    ):
        forget(**({"template": ""} if link == "plans" else {}))
        asked = {"pattern": "core" if link == "plans" else "layers"}
        page = owner_client.get(PAGE, asked)
        assert page.status_code == 200
        assert says in text(page)
        assert f'<a href="{reverse(link)}">' in page.content.decode().split("<main")[1]
        if link == "rates":
            call_command("load_rates", verbosity=0)


def test_template_that_cannot_be_fitted_leads_to_it(owner_client, shop):
    plan = Plan.objects.get(template="twist")
    plan.steps.filter(kind="cut").update(pieces=90)
    page = owner_client.get(PAGE, {"pattern": "twist"})
    assert "does not suit this knife" in text(page)
    assert f'href="{plan.get_absolute_url()}"' in page.content.decode()


def test_week_without_hours_leads_to_the_shops_hour(owner_client, shop):
    Rate.objects.filter(key="year_week_hours").delete()
    page = owner_client.get(PAGE, {"family": "gyuto"})
    assert "how many hours a week are paid" in text(page)
    assert f'href="{reverse("shop-hour")}"' in page.content.decode()
    assert "starts at" in text(page)


# --- kept ----------------------------------------------------------------------------


def test_one_more_tap_makes_an_order_at_the_price_that_was_said(owner_client, shop):
    week = monday_of(timezone.localdate()) + dt.timedelta(weeks=8)
    asked = {"length": "240", "pattern": "twist", "named": "1111"}
    page = owner_client.get(PAGE, asked | {"wanted": week.isoformat()})
    answer = save(owner_client, page, caller="Tilda Grauwacke")
    order = Order.objects.get()
    assert answer.url == reverse("price", args=[order.number])
    assert (order.state, order.wanted_week, order.named_price) == (
        "enquiry",
        week,
        1111,
    )
    assert order.customer.name == "Tilda Grauwacke"
    price = owner_client.get(answer.url)
    said = page.context["view"].figures[1].value
    assert said in text(price)


def test_sent_twice_it_is_kept_once(owner_client, shop):
    page = owner_client.get(PAGE)
    first, again = save(owner_client, page), save(owner_client, page)
    assert first.url == again.url
    assert (Order.objects.count(), Customer.objects.count()) == (1, 1)
    assert (Knife.objects.count(), Plan.objects.count()) == (1, 6)


def test_an_answer_that_was_saved_says_so_and_leads_to_its_order(owner_client, shop):
    """Back in the browser asks for the same address again: it keeps its key."""
    first = owner_client.get(PAGE)
    asked = {"family": "gyuto", "call": first.context["form"].next_key}
    page = owner_client.get(PAGE, asked)
    answer = save(owner_client, page)
    back = owner_client.get(PAGE, asked)
    assert "This answer was saved as a draft order." in text(back)
    assert f'href="{answer.url}"' in back.content.decode()
    assert "Save as a draft order" not in text(back)
    assert save(owner_client, back).url == answer.url
    assert Order.objects.count() == 1
    anew = owner_client.get(PAGE, asked | {"call": back.context["form"].next_key})
    assert "Save as a draft order" in text(anew)


@pytest.mark.parametrize("call", ["", "x" * 900, "\u0085", "ключ"])
def test_odd_keys_of_a_call_do_no_harm(owner_client, shop, call):
    page = owner_client.get(PAGE, {"family": "gyuto", "call": call})
    assert page.status_code == 200
    assert "Save as a draft order" in text(page)


def test_caller_without_a_name_is_called_by_day_and_hour(owner_client, shop):
    save(owner_client, owner_client.get(PAGE))
    name = Customer.objects.get().name
    assert re.fullmatch(r"Caller, \d{1,2} \w+, \d\d:\d\d", name)


def test_a_name_too_long_is_asked_for_again_and_stays(owner_client, shop):
    answer = save(owner_client, owner_client.get(PAGE), caller="x" * 81)
    assert "Use at most 80 signs here" in text(answer)
    assert 'value="' + "x" * 81 in answer.content.decode()
    assert not Order.objects.exists()


def test_only_the_owner_reads_the_named_price_of_an_order(owner, helper, client, shop):
    client.force_login(owner)
    week = monday_of(timezone.localdate()) + dt.timedelta(weeks=3)
    page = client.get(PAGE, {"named": "1111", "wanted": week.isoformat()})
    save(client, page)
    order = Order.objects.get().get_absolute_url()
    assert "Price named €1,111.00" in text(client.get(order))
    client.force_login(helper)
    seen = text(client.get(order))
    assert "1,111" not in seen
    assert "Wanted" in seen


def test_it_is_one_tap_from_every_page_for_the_owner_alone(owner, helper, client, shop):
    client.force_login(owner)
    assert f'href="{PAGE}"' in client.get("/orders/").content.decode()
    client.force_login(helper)
    assert f'href="{PAGE}"' not in client.get("/orders/").content.decode()
