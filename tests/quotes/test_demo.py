"""The demo: a believable shop at work, made through the shop's own services."""

import datetime as dt
import re
import tomllib
from collections import Counter
from io import StringIO
from itertools import pairwise

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction
from django.test import override_settings
from django.urls import reverse

from billets.figures import figures_of
from billets.loading import DATA
from billets.models import Plan, Steel
from billets.physics.knife_spec import default_spec
from quotes.demo import story
from quotes.demo.telling import tell
from quotes.models import Paper, Quote, QuoteAnswer
from shop import stages
from shop.models import Customer, Knife, Order, Shop, StageEvent, TaxSetting
from shop.services import spec_of
from shop.weeks import monday_of

pytestmark = pytest.mark.django_db
WEDNESDAY = dt.date(2026, 11, 25)


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demo as it is on a day, told once for all tests; returns its papers."""
    papers = tmp_path_factory.mktemp("demo-papers")
    with (
        django_db_blocker.unblock(),
        override_settings(PAPER_DIR=papers),
        transaction.atomic(),
    ):
        call_command("load_steels", verbosity=0)
        call_command("load_rates", verbosity=0)
        tell(story.read(), WEDNESDAY)
        yield papers
        transaction.set_rollback(True)


@pytest.fixture
def demo(told, settings):
    settings.PAPER_DIR, settings.DEMO = told, True


# --- what the story holds --------------------------------------------------------


def test_orders_stand_in_every_state(demo):
    found = Counter(Order.objects.values_list("state", flat=True))
    assert found == {
        "enquiry": 2, "quoted": 2, "accepted": 6,
        "delivered": 2, "declined": 1, "cancelled": 1,
    }  # fmt: skip
    assert set(found) == {key for key, _label in stages.state_choices()}


def test_knives_stand_at_every_stage(demo):
    found = Counter(Knife.objects.values_list("stage", flat=True))
    assert found == {
        "": 6, "forge": 2, "grind": 1, "harden": 1, "finish": 1, "handle": 1,
        "sharpen": 1, "delivered": 2, "scrapped": 1, "cancelled": 1,
    }  # fmt: skip
    assert set(found) == {"", *(key for key, _label in stages.stage_choices())}


def test_one_billet_is_shared_by_knives_of_two_orders(demo):
    shared = [plan for plan in Plan.objects.all() if plan.targets.count() > 1]
    assert len(shared) == 1
    knives = Knife.objects.filter(target__plan=shared[0])
    assert len({knife.order_id for knife in knives}) == len(knives) == 2
    assert len({knife.mark for knife in knives}) == 2


def test_one_plan_is_short_and_every_other_suffices(demo):
    verdicts = {plan.title: figures_of(plan).verdict for plan in Plan.objects.all()}
    short = [title for title, verdict in verdicts.items() if not verdict.enough]
    assert len(short) == 1
    assert verdicts[short[0]].failing == ("mass",)
    assert verdicts[short[0]].spare < -0.015


def test_short_plan_belongs_to_an_enquiry_whose_knife_grew(demo):
    (knife,) = (
        knife
        for knife in Knife.objects.for_list().exclude(target__plan=None)
        if not figures_of(knife.target.plan).verdict.enough
    )
    assert knife.order.state == "enquiry"
    assert knife.length > 0.247
    assert knife.typed["length"] == "265 mm"


def test_no_plan_burns_its_steel(demo):
    assert not any(figures_of(plan).burning for plan in Plan.objects.all())


def test_one_order_is_past_its_week(demo):
    late = Order.objects.due_by(monday_of(WEDNESDAY) - dt.timedelta(weeks=1))
    assert len(late) == 1
    assert {knife.stage for knife in late[0].knives.all()} == {"scrapped", "harden"}


def test_one_quote_has_a_second_revision_with_another_price(demo):
    (again,) = Quote.objects.filter(revision=2)
    first = again.order.quotes.get(revision=1)
    assert again.order.state == "quoted"
    assert again.total != first.total
    assert not QuoteAnswer.objects.filter(quote=first).exists()


def test_a_wrong_move_was_taken_back_with_a_reason(demo):
    (event,) = StageEvent.objects.filter(correction=True)
    assert event.reason


def test_families_steels_and_ways_to_forge_vary(demo):
    assert len(set(Knife.objects.values_list("family", flat=True))) >= 10
    plans = Plan.objects.all()
    assert {plan.tool.kind for plan in plans} == {"press", "hammer", "hand"}
    assert {plan.forge.atmosphere for plan in plans} == {"rich", "can"}
    assert {plan.bars.count() for plan in plans} == {2, 3}
    kinds = {step.kind for plan in plans for step in plan.steps.all()}
    assert kinds == {"weld", "draw", "trim", "grind", "cut", "fold"}


def test_customers_write_in_two_languages_and_many_letters(demo):
    names = " ".join(Customer.objects.values_list("name", flat=True))
    assert all(letter in names for letter in "äüßÖŻŁęźøạọệộ'")
    assert set(Customer.objects.values_list("language", flat=True)) == {"en", "de"}
    assert all(customer.orders.exists() for customer in Customer.objects.all())


def test_shop_is_invented_and_complete(demo):
    shop, tax = Shop.current(), TaxSetting.objects.on(WEDNESDAY)
    assert (shop.currency, shop.units, shop.paper) == ("EUR", "metric", "A4")
    assert all((shop.owner, shop.address, shop.extinguisher))
    assert (tax.regime, tax.rate) == ("standard", 19)
    mails = [shop.email, *Customer.objects.values_list("email", flat=True)]
    # RFC 2606 keeps .example for examples: no mail to it ever arrives anywhere.
    assert all(mail.endswith(".example") for mail in mails)


def test_nobody_can_sign_in_with_a_name_of_the_story(demo):
    people = User.objects.exclude(username__in=("anvil", "tongs"))
    assert people
    assert not any(one.has_usable_password() or one.is_superuser for one in people)


# --- that it is consistent -------------------------------------------------------


def test_everything_happened_in_order_before_today(demo):
    today = dt.datetime.combine(WEDNESDAY, dt.time(), tzinfo=dt.UTC)
    for rows, moment in (
        (Order.objects.order_by("pk"), "created"),
        (StageEvent.objects.order_by("pk"), "at"),
        (Quote.objects.order_by("pk"), "issued_at"),
        (QuoteAnswer.objects.order_by("pk"), "at"),
        (Paper.objects.order_by("pk"), "made_at"),
    ):
        times = [getattr(row, moment) for row in rows]
        assert times == sorted(times)
        assert times[-1] < today
        assert all(time.weekday() < 5 for time in times)


def test_every_accepted_quote_was_answered_while_it_held(demo):
    for answer in QuoteAnswer.objects.all():
        assert answer.quote.issued_at < answer.at
        assert answer.at.date() <= answer.quote.valid_until


def test_every_knife_walked_its_stages_one_by_one(demo):
    for knife in Knife.objects.exclude(stage=""):
        events = list(knife.events.all())
        assert events[0].stage == "forge"
        assert events[-1].stage == knife.stage
        for before, after in pairwise(events):
            assert after.came_from == before.stage


def test_lines_of_a_quote_add_up_to_its_total(demo):
    for quote in Quote.objects.all():
        read = quote.total if quote.mode == "gross" else quote.net
        assert sum(line.amount for line in quote.lines.all()) == read
        assert quote.net + quote.tax == quote.total


def test_quotes_show_what_terms_can_say(demo):
    """Both kinds, both readings, options to choose and one chosen, a discount."""
    quotes = Quote.objects.all()
    assert {quote.kind for quote in quotes} == {"fixed", "estimate"}
    assert {quote.mode for quote in quotes} == {"gross", "net"}
    kinds = {line.kind for quote in quotes for line in quote.lines.all()}
    assert kinds == {"knife", "extra", "charge", "discount"}
    waiting = quotes.filter(answer=None, order__state="quoted")
    assert max(quote.options.count() for quote in waiting) == 4
    (answer,) = QuoteAnswer.objects.exclude(option=None)
    knife = Knife.objects.get(serial=answer.option.serial)
    assert knife.handle_material == answer.option.values["handle_material"]
    assert all(quote.changes for quote in quotes.filter(revision=2))


# --- that it is our own ----------------------------------------------------------

CHECK_STACKS = {
    (150, 40, 38), (120, 30, 30), (150, 50, 45), (200, 50, 45), (150, 40, 40),
    (190, 45, 45), (200, 50, 50), (240, 63, 63), (305, 38, 20), (150, 40, 22),
}  # fmt: skip
CHECK_GRAMS = {848, 1036, 1790, 2649, 3533}


def test_no_billet_repeats_a_check(demo):
    """The stacks and chain this program is checked with elsewhere are not demo data."""
    for plan in Plan.objects.all():
        figures = figures_of(plan)
        layers = figures.spec.order
        thick = sum(figures.spec.bars[one].thickness for one in layers)
        size = (plan.length * 1e3, plan.width * 1e3, thick * 1e3)
        pieces = [step.pieces for step in plan.steps.all() if step.kind == "cut"]
        assert tuple(round(side) for side in size) not in CHECK_STACKS
        assert round(float(figures.plain.start_mass) * 1e3) not in CHECK_GRAMS
        assert (len(layers), *pieces) != (15, 5, 3)
        assert figures.plain.layers not in (75, 225)


def test_no_knife_repeats_a_check(demo):
    """Neither a family's usual knife nor one of the twelve weighed ones."""
    with (DATA / "measured.toml").open("rb") as file:
        measured = tomllib.load(file)["knife"]
    weighed = {(one["family"], one["size"][0]) for one in measured}
    for knife in Knife.objects.all():
        usual, here = default_spec(knife.family), spec_of(knife)
        assert (here.length, here.height) != (usual.length, usual.height)
        assert (knife.family, round(knife.length * 1e3)) not in weighed


# --- the command -----------------------------------------------------------------


def rows():
    tables = (Order, Knife, Plan, Quote, Paper, Customer, User, StageEvent, Steel)
    return {table: list(table._default_manager.values()) for table in tables}


def test_telling_it_twice_changes_nothing(demo):
    before, said = rows(), StringIO()
    call_command("demo", stdout=said)
    assert rows() == before
    assert "there already" in said.getvalue()


# --- its pages -------------------------------------------------------------------


def own_links(page):
    """Addresses within the shop that a page links to."""
    return [
        link.replace("&amp;", "&")
        for link in re.findall(r'<a [^>]*href="(/[^"#]*)', page)
        if not link.startswith(("/admin/", "/static/"))
    ]


def bytes_of(response):
    return b"".join(response) if response.streaming else response.content


def test_every_page_of_the_demo_opens(demo, owner_client):
    tables = (Order, Knife, Plan, Quote, Paper, Customer)
    waiting = [
        row.get_absolute_url()
        for table in tables
        for row in table._default_manager.all()
    ]
    waiting += [reverse(name) for name in ("front", "orders", "customer-list", "shop")]
    seen = set()
    while waiting:
        address = waiting.pop()
        place = address.partition("?")[0]
        if place in seen:
            continue
        seen.add(place)
        response = owner_client.get(address)
        assert response.status_code == 200, address
        body = bytes_of(response)
        if response["Content-Type"].startswith("text/html"):
            waiting += own_links(body.decode())
    assert len(seen) > 100


def test_front_page_names_what_is_late_and_who_waits(demo, owner_client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.localdate", lambda *_zone: WEDNESDAY)
    page = owner_client.get(reverse("front")).content.decode()
    for name in ("Łęgowska", "Stillen Wehr", "Grünwaldt", "O&#x27;Tarrigan", "Phạm"):
        assert name in page
