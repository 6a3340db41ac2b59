"""Addresses of whoever guessed at links go when they no longer count."""

import datetime as dt

import pytest
from django.utils import timezone

from shop.guesses import WINDOW, forget
from shop.models import LinkGuess

pytestmark = pytest.mark.django_db


@pytest.fixture
def guesses():
    now = timezone.now()
    LinkGuess.objects.create(address="198.51.100.4", at=now - WINDOW)
    return LinkGuess.objects.create(address="198.51.100.5", at=now)


def test_guesses_go_when_the_first_page_is_opened(helper_client, guesses):
    helper_client.get("/")
    assert LinkGuess.objects.get() == guesses


def test_guesses_go_when_a_link_is_opened(client, guesses):
    """An unknown one here; it is a guess of its own."""
    client.get(f"/q/{'x' * 43}/", headers={"host": "localhost"})
    addresses = set(LinkGuess.objects.values_list("address", flat=True))
    assert addresses == {"198.51.100.5", "127.0.0.1"}


def test_nothing_is_written_where_there_is_nothing_to_forget(
    guesses, django_assert_num_queries
):
    LinkGuess.objects.exclude(pk=guesses.pk).delete()
    with django_assert_num_queries(1) as asked:
        forget(timezone.now())
    assert asked.captured_queries[0]["sql"].startswith("SELECT")
    forget(timezone.now() + WINDOW + dt.timedelta(seconds=1))
    assert not LinkGuess.objects.exists()
