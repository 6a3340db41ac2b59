"""Papers past their time: counted first, destroyed whole, and nothing else with it."""

import datetime as dt

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from quotes import store, triggers
from quotes.models import Invoice, Mail, Paper, Quote, QuoteLine
from quotes.privacy import purging
from quotes.privacy.erasing import erase
from quotes.privacy.purging import past_on, purge
from quotes.triggers import FROZEN
from shop.models import Entry, Knife, Order, Payment, WorkRecord
from shop.stages import StageError
from tests.quotes.customers import PDF, paper_of, whole_customer
from tests.quotes.issued import issued
from tests.quotes.test_privacy_page import WORD
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db
LAST_DAY, TIME_IS_OVER = dt.date(2034, 12, 31), dt.date(2035, 1, 1)


def erased(year=2026, **how):
    customer = whole_customer(year=year, **how)
    return erase(customer, reason="asked", at=timezone.now())


def rows():
    return {model.__name__: model._default_manager.count() for model in FROZEN}


def purged(day=TIME_IS_OVER):
    return purge(day, mark=past_on(day).mark)


# --- what is past its time -----------------------------------------------------------


def test_eight_years_after_the_end_of_the_year_of_issue():
    """UStG, section 14b, as of 2025 (quoted from memory, verify)."""
    erased()
    assert past_on(LAST_DAY).orders == ()
    past = past_on(TIME_IS_OVER)
    assert (len(past.orders), past.papers, past.quotes, past.invoices) == (1, 2, 1, 1)
    assert past.until == LAST_DAY


def test_papers_of_customers_who_are_not_erased_stay_for_ever():
    whole_customer()
    assert past_on(dt.date(2099, 1, 1)).papers == 0


def test_papers_of_an_order_go_together_once_the_last_may():
    customer = erased()
    later = dt.datetime(2030, 6, 1, 12, tzinfo=dt.UTC)
    paper_of(customer.orders.get(), later, "change")
    assert past_on(TIME_IS_OVER).orders == ()
    assert past_on(dt.date(2039, 1, 1)).papers == 3


def test_years_are_a_setting(settings):
    settings.PAPER_YEARS = 10
    erased()
    assert past_on(dt.date(2036, 12, 31)).orders == ()
    assert past_on(dt.date(2037, 1, 1)).papers == 2


# --- destroying ----------------------------------------------------------------------


def test_all_of_it_goes_and_nothing_else(django_capture_on_commit_callbacks):
    keep = issued()
    before = rows()
    erased()
    figures = [
        list(model.objects.values())
        for model in (Order, Knife, WorkRecord, Entry, Payment)
    ]
    with django_capture_on_commit_callbacks(execute=True):
        purged()
    assert rows() == before
    assert Quote.objects.get() == keep
    assert Mail.objects.get().paper is None
    assert figures == [
        list(model.objects.values())
        for model in (Order, Knife, WorkRecord, Entry, Payment)
    ]


def test_file_goes_with_the_last_row_that_names_it(
    django_capture_on_commit_callbacks, settings
):
    erased()
    other = whole_customer()  # its papers have the same bytes
    with django_capture_on_commit_callbacks(execute=True):
        purged()
    assert store.read(Paper.objects.first().sha256) == PDF
    erase(other, reason="asked", at=timezone.now())
    with django_capture_on_commit_callbacks(execute=True):
        purged()
    assert list(settings.PAPER_DIR.iterdir()) == []
    with django_capture_on_commit_callbacks(execute=True):
        assert purged().papers == 0


def test_cancelled_invoices_go_with_what_cancels_them():
    quote = issued()
    order = quote.order
    Order.objects.filter(pk=order.pk).update(state="delivered")
    erase(order.customer, reason="asked", at=timezone.now())
    purged(dt.date(timezone.localdate().year + 9, 1, 1))
    assert set(rows().values()) == {0}


def test_triggers_stand_again_and_never_left_for_others():
    erased()
    whole_customer()
    purged()
    for act in (Quote.objects.all().delete, lambda: QuoteLine.objects.update(label="")):
        with pytest.raises(DatabaseError), transaction.atomic():
            act()


def test_fault_in_the_midst_undoes_all_of_it(monkeypatch):
    erased()
    before, stood = rows(), triggers._found(connection)

    def fails(keys):
        Mail.objects.all().delete()
        raise RuntimeError("the power went")

    monkeypatch.setattr(purging, "_delete", fails)
    with pytest.raises(RuntimeError):
        purged()
    assert rows() == before
    assert Mail.objects.count() == 1
    assert triggers._found(connection) == stood
    with pytest.raises(DatabaseError), transaction.atomic():
        Invoice.objects.all().delete()


def test_what_was_not_counted_is_not_destroyed():
    erased()
    mark = past_on(TIME_IS_OVER).mark
    erased(state="cancelled")
    before = rows()
    with pytest.raises(StageError, match="has changed since"):
        purge(TIME_IS_OVER, mark=mark)
    assert rows() == before


# --- the page ------------------------------------------------------------------------


@pytest.fixture
def old():
    """Papers of long ago, of somebody who is erased."""
    return erased(year=2011)


def destroy(client, **changes):
    page = client.get("/shop/kept/")
    mark = page.context["mark"]
    data = {"agree": "on", "password": WORD, "mark": mark, "form_key": key_on(page)}
    return client.post("/shop/kept/", data | changes)


def test_page_names_every_kind_with_its_time(owner_client):
    text = text_of(owner_client.get("/shop/kept/"))
    assert "network addresses that tried links nobody was given" in text.lower()
    assert "8 years from the end of the year" in text
    assert "check with your adviser" in text
    assert "There are none." in text


def test_counts_are_shown_before_anything_is_destroyed(owner_client, old):
    text = text_of(owner_client.get("/shop/kept/"))
    assert "Papers 2" in text
    assert "Quotes 1" in text
    assert "had to be kept until Dec 31, 2019" in text or "31 Dec 2019" in text
    assert Paper.objects.count() == 2
    page = owner_client.get(f"/customers/{old.pk}/data/")
    assert "its time is over" in text_of(page)


def test_page_destroys_once_and_its_orders_open_still(owner_client, old):
    order = old.orders.get()
    assert destroy(owner_client).status_code == 302
    assert not Paper.objects.exists()
    text = text_of(owner_client.get("/shop/kept/"))
    assert "2 papers past their time are destroyed." in text
    assert "There are none." in text
    for place in ("", "payments/", "invoices/", "after/", "links/", "mail/quote/",
                  "price/"):  # fmt: skip
        page = owner_client.get(f"{order.get_absolute_url()}{place}")
        assert page.status_code in (200, 302), place
    for place in (order.knives.get().get_absolute_url(), old.get_absolute_url(),
                  f"/customers/{old.pk}/data/", "/", "/orders/"):  # fmt: skip
        assert owner_client.get(place).status_code == 200


def test_sent_again_destroys_nothing_more(owner_client, old):
    page = owner_client.get("/shop/kept/")
    data = {"agree": "on", "password": WORD, "mark": page.context["mark"],
            "form_key": key_on(page)}  # fmt: skip
    first = owner_client.post("/shop/kept/", data)
    erased(year=2012)
    again = owner_client.post("/shop/kept/", data)
    assert (first.status_code, again.status_code) == (302, 302)
    assert Paper.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "box", "words"),
    [({"agree": ""}, "agree", "Tick this"), ({"password": ""}, "password", "empty"),
     ({"password": "wrong word"}, "password", "not your password"),
     ({"mark": ""}, "agree", "has changed since"),
     ({"mark": "1:9:9:9"}, "agree", "has changed since")],
)  # fmt: skip
def test_without_tick_password_and_counts_nothing_is_destroyed(
    owner_client, old, changes, box, words
):
    page = destroy(owner_client, **changes)
    assert words in errors_on(page, box)
    assert Paper.objects.count() == 2
