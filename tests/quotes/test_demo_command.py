"""The demo's command, and the days of its story, in a shop where nothing is yet."""

import datetime as dt

import pytest
from django.core.management import CommandError, call_command

from billets.models import Steel
from quotes import pdf
from quotes.demo import story
from quotes.demo.telling import tell
from quotes.management.commands import demo as command
from quotes.models import Paper
from shop.models import Order

pytestmark = pytest.mark.django_db
WEDNESDAY = dt.date(2026, 11, 25)


@pytest.fixture
def furnished():
    call_command("load_steels", verbosity=0)
    call_command("load_rates", verbosity=0)


def opening(count):
    """The story with its first orders only, which need none of the others."""
    full = story.read()
    return {**full, "orders": dict(list(full["orders"].items())[:count])}


def test_own_shop_is_never_filled(settings):
    settings.DEMO = False
    with pytest.raises(CommandError, match="open --demo"):
        call_command("demo")
    assert not Order.objects.exists()
    assert not Steel.objects.exists()


def test_command_brings_what_a_fresh_shop_has(settings, monkeypatch):
    settings.DEMO = True
    monkeypatch.setattr(command, "read", lambda: opening(1))
    call_command("demo", verbosity=0)
    assert Order.objects.count() == 1
    assert Steel.objects.exists()


def test_clock_before_the_shop_began_leaves_nothing_half_made(settings, monkeypatch):
    settings.DEMO = True
    monkeypatch.setattr(command.timezone, "localdate", lambda: dt.date(2026, 1, 9))
    with pytest.raises(CommandError, match="The demo was not made"):
        call_command("demo", verbosity=0)
    assert not Order.objects.exists()


@pytest.mark.parametrize(
    ("today", "ago", "day"),
    [
        (dt.date(2026, 11, 25), 1, dt.date(2026, 11, 24)),
        (dt.date(2026, 11, 23), 1, dt.date(2026, 11, 20)),
        (dt.date(2026, 11, 22), 1, dt.date(2026, 11, 19)),
        (dt.date(2027, 1, 1), 5, dt.date(2026, 12, 25)),
    ],
)
def test_days_are_working_days_before_today(today, ago, day):
    assert story.workday(today, ago) == day


def test_story_over_new_year_numbers_its_orders_by_the_year(furnished, monkeypatch):
    monkeypatch.setattr(pdf, "render", lambda *_given, **_also: b"paper")
    tell(opening(2), dt.date(2027, 4, 25))  # a Sunday
    assert sorted(Order.objects.values_list("number", flat=True)) == [
        "26-0001", "27-0001",
    ]  # fmt: skip
    assert all(order.promised_week.weekday() == 0 for order in Order.objects.all())


def test_without_pango_papers_are_pages_to_print(furnished, monkeypatch):
    def refuse(*_given, **_also):
        raise pdf.PdfUnavailable(pdf.PdfUnavailable.sentence)

    monkeypatch.setattr(pdf, "render", refuse)
    tell(opening(1), WEDNESDAY)
    assert [paper.media for paper in Paper.objects.all()] == ["html"]
