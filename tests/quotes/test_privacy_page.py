"""What is kept of a customer, said on one page, given as one file."""

import datetime as dt
import io
import json
import zipfile

import pytest
from django.apps import apps
from django.utils import timezone

from quotes.models import Invoice, Mail, Paper
from quotes.privacy.given import GIVEN, HELD, WRITERS
from quotes.privacy.keeping import kept_until
from quotes.privacy.tables import rows_about
from quotes.privacy.whole import everything_kept
from shop.models import AgreedChange, Customer, LinkGuess, Shop
from tests.factories import CustomerFactory, OrderFactory, PlanFactory
from tests.quotes.about import tables_about
from tests.quotes.customers import (
    MAIL,
    NAME,
    PDF,
    PHONE,
    PICTURE,
    whole_customer,
)
from tests.quotes.orders import own_text
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

WORD = "long enough word"


def page_of(customer):
    return f"/customers/{customer.pk}/data/"


def ask_for_all(client, customer, password=WORD):
    return client.post(page_of(customer), {"export-password": password})


def erase_by_page(client, customer, **changes):
    data = {
        "erase-password": WORD, "erase-reason": "asked",
        "form_key": key_on(client.get(page_of(CustomerFactory(name="Somebody")))),
    }  # fmt: skip
    return client.post(f"{page_of(customer)}erase/", data | changes)


def unpacked(answer):
    whole = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    return {name: whole.read(name) for name in whole.namelist()}


# --- the page -------------------------------------------------------------------------


def test_page_says_what_is_kept_why_and_until_when(owner_client):
    text = text_of(owner_client.get(page_of(whole_customer(year=2026))))
    assert "name, address, e-mail, telephone" in text
    assert "until the customer is erased" in text
    assert "to be kept until" in text
    assert text.count("2034") >= 2
    assert "the law wants them kept for some years" in text
    assert "check it with your adviser" in text


def test_reason_is_the_shops_own_text_where_it_has_one(owner_client):
    own_text("keeping", "Our law says so.")
    assert "Our law says so." in text_of(owner_client.get(page_of(whole_customer())))


@pytest.mark.parametrize(
    ("made", "until"),
    [("2026-01-01T12:00", "2034-12-31"), ("2026-12-31T22:59", "2034-12-31"),
     ("2026-12-31T23:01", "2035-12-31")],
)  # fmt: skip
def test_eight_years_run_from_the_end_of_the_papers_own(made, until):
    """UStG, section 14b, as of 2025: eight years from the end of the calendar year in
    which the invoice was issued (quoted from memory, verify). Times are UTC, the year
    is the shop's own.
    """
    moment = dt.datetime.fromisoformat(f"{made}:00+00:00")
    assert kept_until(moment) == dt.date.fromisoformat(until)


def test_years_are_a_setting(settings):
    settings.PAPER_YEARS = 10
    assert kept_until(timezone.now()).year == timezone.localdate().year + 10


def test_erased_customers_page_says_what_the_law_keeps(owner_client):
    customer = whole_customer()
    assert erase_by_page(owner_client, customer).status_code == 302
    page = owner_client.get(page_of(customer))
    text = text_of(page)
    assert "Erased because the customer asked for it." in text
    assert "quotes with their lines" in text
    assert "to be kept until" in text
    assert "name, address, e-mail" not in text
    assert "erase-password" not in page.content.decode()
    assert NAME not in text


def test_name_elsewhere_is_shown_before_it_is_too_late(owner_client):
    customer = whole_customer()
    PlanFactory(title=f"A gift of {NAME}")  # an erasure sees to billets
    CustomerFactory(name="Another", note=f"{NAME}ish")
    order = OrderFactory(customer=CustomerFactory(name="Somebody"), wish=f"As {NAME}'s")
    Shop.objects.update_or_create(pk=1, defaults={"phone": PHONE})
    page = owner_client.get(page_of(customer))
    said = [one.what for one in page.context["mentions"]]
    assert sorted(said) == sorted([order.number, "My forge"])
    assert order.get_absolute_url() in page.content.decode()


# --- everything as one file -----------------------------------------------------------


def test_export_holds_every_row_and_every_paper(owner_client):
    customer = whole_customer()
    answer = ask_for_all(owner_client, customer)
    assert answer.headers["Content-Type"] == "application/zip"
    assert "attachment" in answer.headers["Content-Disposition"]
    files = unpacked(answer)
    data = json.loads(files["customer.json"])
    for model, keys in rows_about(customer).items():
        assert len(data[model._meta.model_name]) == len(keys), model
    (row,) = data["customer"]
    assert (row["name"], row["email"], row["phone"]) == (NAME, MAIL, PHONE)
    assert data["stageevent"][0]["reason"] == f"{NAME} came"
    assert data["payment"][0]["amount"] == "90.000"
    number = customer.orders.get().number
    papers = {name for name in files if name.startswith("papers/")}
    assert papers == {f"papers/quote-{number}-r1.pdf", f"papers/final-{number}-r1.pdf"}
    assert all(files[name] == PDF for name in papers)
    (picture,) = files.keys() - papers - {"customer.json"}
    assert picture.startswith("photos/")
    assert picture.endswith(".jpg")
    assert files[picture] == PICTURE


def test_export_tells_nothing_of_the_shop_or_of_others(owner_client):
    other = OrderFactory(customer=CustomerFactory(name="Somebody Else"))
    text = unpacked(ask_for_all(owner_client, whole_customer()))["customer.json"]
    for secret in (b"our margin", b"d" * 50, b"anvil", other.customer.name.encode()):
        assert secret not in text
    assert "the shop's own reckoning of its costs" in text.decode()


def test_every_table_says_what_of_it_is_given():
    tables = {one.__name__: one for one in tables_about()}
    assert tables.keys() == GIVEN.keys()
    for name, columns in GIVEN.items():
        known = {one.name for one in tables[name]._meta.concrete_fields}
        given, held = set(columns.split()), set(HELD.get(name, "").split())
        assert not given & held, name
        assert given | held | (WRITERS & known) == known, name


def test_every_table_of_people_is_named_with_its_reason():
    """A table that comes later fails here until somebody says what it is kept for."""
    named = [model for one in everything_kept() for model in one.tables]
    assert len(named) == len(set(named))
    assert set(named) == {*tables_about(), LinkGuess}
    assert all(one.why and one.until and one.count >= 0 for one in everything_kept())


def test_every_table_with_a_key_to_somebody_is_found():
    """Seen from the other side: who has a key to a table found is found too."""
    found = set(tables_about())
    for model in apps.get_models(include_auto_created=True):
        leads_to = {one.related_model for one in model._meta.concrete_fields
                    if one.is_relation}  # fmt: skip
        assert model in found or not leads_to & found, model


def test_export_holds_no_hours_no_reckoning_and_no_secret(owner_client):
    customer = whole_customer()
    AgreedChange.objects.update(
        values={"columns": {"note": NAME}, "reckoned_more": "9", "part": "8",
                "percent": "7", "rates_on": "2026-01-01", "version": 3}
    )  # fmt: skip
    Mail.objects.update(body=f"Read /q/{'s' * 43}/")
    data = json.loads(unpacked(ask_for_all(owner_client, customer))["customer.json"])
    assert data["agreedchange"][0]["values"] == {"columns": {"note": NAME}}
    assert data["mail"][0]["body"] == "Read /q/…/"
    for table, kept in (
        ("workrecord", {"hands_on", "waiting", "driver", "row", "again"}),
        ("quotedraft", {"asked", "step", "discount"}), ("entry", {"value", "typed"}),
        ("agreedchange", {"passed", "by"}), ("customerlink", {"digest", "by"}),
    ):  # fmt: skip
        assert not kept & data[table][0].keys(), table


def test_export_speaks_the_customers_language_and_names_lost_papers(
    owner_client, settings
):
    customer = whole_customer()
    for paper in Paper.objects.all():
        (settings.PAPER_DIR / paper.sha256).unlink(missing_ok=True)
    files = unpacked(ask_for_all(owner_client, customer))
    number = customer.orders.get().number
    assert json.loads(files["customer.json"])["about"]["files_missing_or_damaged"] == [
        f"papers/quote-{number}-r1.pdf", f"papers/final-{number}-r1.pdf",
    ]  # fmt: skip


def test_export_changes_nothing(owner_client):
    customer = whole_customer()
    before = list(Customer.objects.values()), list(Invoice.objects.values())
    unpacked(ask_for_all(owner_client, customer))
    assert (list(Customer.objects.values()), list(Invoice.objects.values())) == before


# --- the password ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("password", "words"),
    [("", "This box is empty"), ("long enough wort", "This is not your password"),
     (f" {WORD} ", "This is not your password"),
     ("p" * 9000, "This is not your password")],
)  # fmt: skip
def test_without_the_password_nothing_is_given_or_erased(owner_client, password, words):
    customer = whole_customer()
    page = ask_for_all(owner_client, customer, password)
    assert words in errors_on(page, "export-password")
    assert "Error:" in page.content.decode()
    page = erase_by_page(owner_client, customer, **{"erase-password": password})
    assert words in errors_on(page, "erase-password")
    assert not any(stock in page.content.decode() for stock in STOCK_WORDS)
    assert Customer.objects.get(pk=customer.pk).name == NAME
    assert WORD not in page.content.decode()


def test_erasing_needs_a_reason_of_the_list(owner_client):
    customer = whole_customer()
    for odd in ("", f"{NAME} asked"):
        page = erase_by_page(owner_client, customer, **{"erase-reason": odd})
        assert errors_on(page, "erase-reason")
    assert Customer.objects.get(pk=customer.pk).erased is None


def test_open_order_is_told_on_the_page_and_when_sent(owner_client):
    customer = whole_customer("accepted")
    page = owner_client.get(page_of(customer))
    assert "Not while an order is open" in text_of(page)
    assert "erase-password" not in page.content.decode()
    number = customer.orders.get().number
    page = erase_by_page(owner_client, customer)
    assert f"Order {number} is open: end it first" in text_of(page)
    assert Customer.objects.get(pk=customer.pk).name == NAME


def test_erasing_sent_twice_is_done_once(owner_client):
    customer = whole_customer()
    key = key_on(owner_client.get(page_of(customer)))
    first, second = (
        erase_by_page(owner_client, customer, form_key=key) for _click in range(2)
    )
    assert (first.status_code, second.status_code) == (302, 302)
    assert "Erased on" in text_of(owner_client.get(first.url))


@pytest.mark.parametrize("odd", ["0", "999999", str(10**30), "-1", "abc"])
def test_nobody_is_not_found(owner_client, odd):
    for place in (f"/customers/{odd}/data/", f"/customers/{odd}/data/erase/"):
        assert owner_client.post(place).status_code == 404
