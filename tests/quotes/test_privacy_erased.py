"""An erasure takes who it was out of every table that is not frozen, and no more."""

import pytest
from django.apps import apps
from django.utils import timezone

from quotes import store
from quotes.models import Invoice, Mail, Paper, Quote, QuoteAnswer, QuoteDraft
from quotes.privacy.erasing import REASONS, erase
from quotes.privacy.tables import (
    BY_HAND,
    HARMLESS,
    KEPT,
    STRIPPED,
    rows_about,
)
from quotes.triggers import FROZEN
from shop import photos, services, stages
from shop.models import (
    AgreedChange,
    Customer,
    CustomerLink,
    CustomerQuestion,
    Entry,
    Knife,
    Order,
    Payment,
    Photo,
    StageEvent,
    WorkRecord,
)
from shop.stages import StageError
from tests.factories import CustomerFactory, OrderFactory, PlanFactory, moment
from tests.quotes.about import tables_about, text_columns
from tests.quotes.customers import NAME, PDF, PHONE, PICTURE, WORDS, whole_customer
from tests.shop.typing_in import enquiry, errors_on

pytestmark = pytest.mark.django_db


def texts(but=()):
    """Every text in every table of every app, with its place."""
    for model in apps.get_models():
        if model in but:
            continue
        columns = [one.name for one in text_columns(model)]
        for row in model._default_manager.values("pk", *columns):
            for column in columns:
                yield f"{model._meta.label}.{column}", str(row[column])


def places_of(words, but=()):
    return {
        place for place, text in texts(but)
        for word in words if word in text.casefold()
    }  # fmt: skip


def frozen_rows():
    return [list(model._default_manager.order_by("pk").values()) for model in KEPT]


def gone(customer, reason="asked"):
    return erase(customer, reason=reason, at=timezone.now())


# --- what goes ----------------------------------------------------------------------


def test_the_name_stood_in_every_table_that_takes_words():
    """Else the test below would prove nothing."""
    whole_customer()
    stood = places_of(WORDS)
    for model, columns in {**STRIPPED, **BY_HAND}.items():
        for column in set(columns) - {"country", "vat_number", "shown", "final"}:
            assert f"{model._meta.label}.{column}" in stood, (model, column)
    assert {"billets.Plan.title", "billets.Plan.note", "billets.PlanTarget.label"} <= (
        stood
    )


@pytest.mark.parametrize("state", ["delivered", "declined", "cancelled"])
def test_nothing_of_the_name_is_left_outside_the_frozen_tables(state):
    gone(whole_customer(state))
    assert places_of(WORDS, but=KEPT) == set()


def test_every_text_column_on_a_customer_is_seen_to():
    """A column that comes later fails here until somebody says what becomes of it."""
    for model in tables_about():
        if model in KEPT:
            continue
        decided = {*STRIPPED.get(model, ()), *BY_HAND.get(model, ()),
                   *HARMLESS.get(model.__name__, ())}  # fmt: skip
        found = {one.name for one in text_columns(model) if not one.choices}
        assert found <= decided, model


def test_every_frozen_table_is_kept():
    assert set(FROZEN) <= set(KEPT)


def test_erased_customer_is_called_so_everywhere(owner_client):
    customer = gone(whole_customer())
    assert customer.name == "erased customer"
    assert (customer.note, customer.country) == (str(REASONS["asked"]), "")
    order = customer.orders.get()
    assert order.folded.startswith(f"{order.number} erased customer")
    assert (order.wish, order.knives.get().name) == ("", "santoku")
    page = owner_client.get(order.get_absolute_url()).content.decode()
    assert "erased customer" in page
    page = owner_client.get(customer.get_absolute_url()).content.decode()
    assert "Erased on" in page
    assert "order-new" not in page
    assert f"/customers/{customer.pk}/edit/" not in page


def test_words_that_were_there_are_seen_to_have_been_there():
    gone(whole_customer())
    assert [one.reason for one in StageEvent.objects.order_by("pk")] == ["erased", ""]
    assert CustomerQuestion.objects.get().text == "erased"
    change = AgreedChange.objects.get()
    assert (change.wish, change.how, change.values) == ("erased", "", {})
    mail = Mail.objects.get()
    assert (mail.to, mail.subject, mail.body, mail.error) == ("", "erased", "", "")


def test_private_links_end_and_drafts_go():
    gone(whole_customer())
    assert CustomerLink.objects.get().revoked_at is not None
    assert not QuoteDraft.objects.exists()


# --- what stays ---------------------------------------------------------------------


def test_papers_and_frozen_rows_stay_to_the_letter():
    customer = whole_customer()
    before = frozen_rows()
    gone(customer)
    assert frozen_rows() == before
    assert {store.read(one.sha256) for one in Paper.objects.all()} == {PDF}
    assert QuoteAnswer.objects.get().typed_name == NAME
    assert Invoice.objects.get().buyer == {"name": NAME}
    assert Quote.objects.count() == 1


def test_figures_stay_without_a_name():
    customer = whole_customer()
    figures = [
        list(WorkRecord.objects.values_list("hands_on", "row")),
        list(Entry.objects.values_list("value", "typed")),
        list(Payment.objects.values_list("amount", "received_on")),
        list(Knife.objects.values_list("length", "serial", "typed")),
    ]
    gone(customer)
    assert figures == [
        list(WorkRecord.objects.values_list("hands_on", "row")),
        list(Entry.objects.values_list("value", "typed")),
        list(Payment.objects.values_list("amount", "received_on")),
        list(Knife.objects.values_list("length", "serial", "typed")),
    ]


def test_photo_stays_as_a_record_of_the_work_and_is_shown_no_more():
    customer = whole_customer()
    order = customer.orders.get()
    assert len(list(photos.shown_to_customer(order))) == 1
    gone(customer)
    photo = Photo.objects.get()
    assert (photo.note, photo.shown, photo.final, photo.taken_back) == (
        "", False, False, None,
    )  # fmt: skip
    assert list(photos.shown_to_customer(order)) == []
    assert photos.read_large(photo) == PICTURE
    assert list(Mail.objects.get().photos.all()) == [photo]


def test_other_customers_and_billets_keep_their_words():
    other = CustomerFactory(name=NAME, note="Not the same Ottilie")
    order = OrderFactory(customer=other, wish="Ottilie Zwickelsdorf the younger")
    plan = PlanFactory(title="Ottilie pattern", note=f"Ring {PHONE} or {NAME}s, {NAME}")
    customer = whole_customer()
    about = rows_about(customer)
    assert order.pk not in about[Order]
    gone(customer)
    other.refresh_from_db()
    order.refresh_from_db()
    plan.refresh_from_db()
    assert (other.name, other.note) == (NAME, "Not the same Ottilie")
    assert order.wish == "Ottilie Zwickelsdorf the younger"
    assert (plan.title, plan.note) == (
        "Ottilie pattern", f"Ring … or {NAME}s, …",
    )  # fmt: skip


# --- when, and how often --------------------------------------------------------------


@pytest.mark.parametrize("state", stages.open_states())
def test_not_while_an_order_is_open(state):
    customer = whole_customer(state)
    before = sorted(texts())
    with pytest.raises(StageError, match=r"Order \{number\} is open"):
        gone(customer)
    assert sorted(texts()) == before


def test_erasing_twice_is_erasing_once():
    customer = gone(whole_customer(), reason="done")
    before = sorted(texts())
    again = gone(Customer.objects.get(pk=customer.pk), reason="never")
    assert again.erased == customer.erased
    assert again.note == str(REASONS["done"])
    assert sorted(texts()) == before


def test_words_written_after_an_erasure_go_with_the_next():
    customer = gone(whole_customer())
    Order.objects.filter(customer=customer).update(wish=f"{NAME} again")
    gone(customer)
    assert places_of(WORDS, but=KEPT) == set()


def test_customer_without_orders_is_erased():
    gone(CustomerFactory(name=NAME, folded=NAME.casefold()))
    assert places_of(WORDS) == set()


def test_form_that_was_open_meanwhile_brings_nothing_back():
    customer = whole_customer()
    open_form = Customer.objects.get(pk=customer.pk)
    knife = Knife.objects.get()
    order = Order.objects.get()
    gone(customer)
    for late in (
        lambda: services.save_customer({"note": NAME}, customer=open_form),
        lambda: services.change_order(order, {"wish": NAME}),
        lambda: services._save_versioned(knife, ["name"]),
    ):
        with pytest.raises(services.StaleError):
            late()
    assert places_of(WORDS, but=KEPT) == set()


def test_nobody_orders_as_an_erased_customer(owner_client):
    customer = gone(whole_customer())
    with pytest.raises(StageError, match="This customer was erased"):
        services.open_order(
            customer=customer, wish="", promised_week=None, knives=[], by=None,
            at=moment(),
        )  # fmt: skip
    assert Order.objects.count() == 1
    for send in (owner_client.get, owner_client.post):
        assert send(f"/customers/{customer.pk}/edit/").status_code == 404


def test_new_enquiry_for_an_erased_customer_is_told(owner_client):
    customer = gone(whole_customer())
    page = enquiry(
        owner_client, known=f"erased customer ({customer.pk})", customer_name=""
    )
    assert "This customer was erased" in errors_on(page, "known")


def test_every_table_that_hangs_on_a_customer_is_found():
    """By its keys: a relation that comes later is followed by itself."""
    found = rows_about(whole_customer())
    names = {model.__name__ for model in found}
    assert {model.__name__ for model in tables_about()} - names == {"DeductedAdvance"}
    assert all(found.values())
