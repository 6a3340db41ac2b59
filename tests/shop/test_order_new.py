"""A new enquiry: understood, tried, saved once; mistakes are said beside the box."""

import datetime as dt
import threading

import pytest
from django.db import connection

from billets.models import SubmittedForm
from shop.models import Customer, Knife, Order
from tests.factories import CustomerFactory
from tests.shop.typing_in import (
    ENQUIRY,
    KNIFE,
    STOCK_WORDS,
    enquiry,
    errors_on,
    key_on,
    text_of,
)

pytestmark = pytest.mark.django_db


def nothing_saved():
    return not (
        Order.objects.exists() or Customer.objects.exists() or Knife.objects.exists()
    )


def test_enquiry_is_saved_with_customer_and_knife(owner_client):
    page = enquiry(owner_client, promised_week="2027-03-04")
    order = Order.objects.get()
    assert page.status_code == 302
    assert page.url == order.get_absolute_url()
    assert order.customer.name == "Tilda Grauwacke"
    assert order.wish == "Thin, for onions."
    assert order.promised_week == dt.date(2027, 3, 1)  # a Thursday's Monday
    knife = order.knives.get()
    assert (knife.length, knife.heel_thickness) == (0.163, 0.0027)
    assert knife.name == "Santoku 163 mm"
    assert knife.typed["length"] == "163"
    assert knife.stage == ""


def test_sizes_are_typed_with_any_usual_unit_and_kept_as_typed(owner_client):
    enquiry(
        owner_client, length="6 1/2 in", heel_thickness="2,5 mm", bolster_mass="1 oz"
    )
    knife = Knife.objects.get()
    assert knife.length == pytest.approx(0.1651)
    assert knife.heel_thickness == 0.0025
    assert knife.bolster_mass == pytest.approx(0.028349523)
    assert knife.typed["length"] == "6 1/2 in"
    page = owner_client.get(f"/knives/{knife.serial}/edit/")
    assert 'value="6 1/2 in"' in page.content.decode()


def test_empty_boxes_are_filled_as_usual_for_the_family(owner_client):
    sizes = dict.fromkeys(("length", "height", "middle_thickness", "handle_length"), "")
    enquiry(owner_client, family="petty", heel_thickness="2.3", **sizes)
    knife = Knife.objects.get()
    assert knife.family == "petty"
    assert knife.heel_thickness == 0.0023
    assert (knife.length, knife.height) == (0.150, 0.030)  # the family's usual sizes
    assert knife.name == "Petty 150 mm"


def test_try_draws_and_weighs_and_saves_nothing(owner_client):
    page = enquiry(owner_client, "try", customer_name="")
    text = page.content.decode()
    assert page.status_code == 200
    assert "<svg" in text
    for label in (
        "Finished knife",
        "Balance point",
        "Blade",
        "Forged blank",
        "bar must hold",
    ):
        assert label in text
    assert "This needs mending" not in text
    assert nothing_saved()
    assert not SubmittedForm.objects.exists()


def test_week_is_shown_in_words_before_it_is_saved(owner_client):
    page = enquiry(owner_client, "try", promised_week="2027-02-03")
    assert "Promised for week 5, Monday 1 February 2027" in text_of(page)


def test_another_spine_weighs_more_at_once(owner_client):
    def finished(**changes):
        page = enquiry(owner_client, "try", **changes)
        return int(page.context["preview"].figures[0].value)

    assert finished(middle_thickness="2.5") > finished(middle_thickness="2.1")


def test_fill_shows_the_usual_values_as_values(owner_client):
    page = enquiry(owner_client, "fill", family="deba", length="170", filled="santoku")
    form = page.context["form"]
    assert form["length"].value() == "165"  # 170 was only the santoku's usual length
    assert form["handle"].value() == "d"
    assert form["handle_material"].value() == "ho"
    assert 'name="heel_thickness" value="6"' in page.content.decode()
    assert "<svg" in page.content.decode()
    assert nothing_saved()


def test_fill_keeps_a_length_that_was_asked_for(owner_client):
    page = enquiry(owner_client, "fill", family="gyuto", length="238", filled="santoku")
    form = page.context["form"]
    assert form["length"].value() == "238"
    assert float(form["heel_thickness"].value()) > 3.0  # longer than usual, so thicker


def test_fill_keeps_the_length_as_it_was_typed(owner_client):
    page = enquiry(
        owner_client, "fill", family="gyuto", length="9 3/8 in", filled="santoku"
    )
    assert page.context["form"]["length"].value() == "9 3/8 in"


@pytest.mark.parametrize(
    "family", [pair[0] for pair in Knife._meta.get_field("family").choices]
)
def test_what_is_filled_in_can_be_made(owner_client, family):
    page = enquiry(owner_client, "fill", family=family, length="", filled="")
    assert not page.context["form"].errors
    assert page.context["preview"].figures


@pytest.mark.parametrize(
    ("changes", "box", "said"),
    [
        ({"length": "wide"}, "length", "“wide” cannot be read"),
        ({"length": "0"}, "length", "above zero"),
        ({"length": "-5"}, "length", "below zero"),
        ({"length": "163 kg"}, "length", "unit"),
        ({"length": "1.500"}, "length", "two ways"),
        ({"length": "1e3"}, "length", "is no unit"),
        ({"length": "2 m"}, "length", "cannot be reckoned"),
        ({"length": "9" * 5000}, "length", "longer than any number"),
        ({"height": "95"}, "height", "higher"),
        ({"heel_thickness": "1.9"}, "heel_thickness", "thinner at the heel (1.9 mm)"),
        ({"tip_thickness": "2.3"}, "middle_thickness", "thinner at the middle"),
        (
            {"behind_edge": "1.1", "tip_thickness": "1.1"},
            "behind_edge",
            "behind the edge",
        ),
        ({"grind": "single_bevel"}, "heel_thickness", "single bevel"),
        ({"tang": "full"}, "handle", "choose scales"),
        ({"handle": "scales"}, "handle", "full tang"),
        ({"family": "sword"}, "family", "Choose one of the list."),
        ({"hardness": "90 HRC"}, "hardness", "67 or less"),
        ({"hardness": "NaN"}, "hardness", "cannot be read"),
        ({"ferrule": "cheese"}, "ferrule", "Choose one of the list."),
        ({"email": "nobody"}, "email", "name@example.org"),
        ({"promised_week": "2026-02-30"}, "promised_week", "no day of the calendar"),
        ({"promised_week": "0001-01-01"}, "promised_week", "Type a date from"),
        ({"promised_week": "9999-12-31"}, "promised_week", "Type a date from"),
        ({"promised_week": "03/04/2027"}, "promised_week", "two ways"),
        ({"customer_name": ""}, "known", "type the name of a new one"),
        ({"customer_name": "\u200b\u202e"}, "known", "type the name of a new one"),
        ({"customer_name": "x" * 81}, "customer_name", "at most 80"),
        ({"known": "Nobody Here"}, "known", "No customer has this name"),
        ({"wish": "y" * 100_000}, "wish", "at most 4,000"),
    ],
)
def test_what_is_wrong_is_said_beside_its_box_and_all_typed_stays(
    owner_client, changes, box, said
):
    page = enquiry(owner_client, **changes)
    text = page.content.decode()
    assert page.status_code == 200
    assert said in errors_on(page, box)
    assert f'href="#id_{box}"' in text
    assert "<title>Error:" in text
    assert not any(words in text for words in STOCK_WORDS)
    form = page.context["form"]
    for name, typed in (ENQUIRY | changes).items():
        assert not typed or name == "filled" or form[name].value() == typed
    assert nothing_saved()


def test_an_error_is_said_in_the_shops_units(owner_client):
    owner_client.post("/shop/", shop_texts(owner_client) | {"units": "inch"})
    page = enquiry(
        owner_client, heel_thickness="0.08", middle_thickness="0.09",
        tip_thickness="0.05", length="6.5", height="1.8", behind_edge="0.01",
        neck_length="0.5", handle_length="5",
    )  # fmt: skip
    assert "(0.080 in)" in errors_on(page, "heel_thickness")


def shop_texts(client):
    page = client.get("/shop/")
    form = page.context["form"]
    texts = {name: form[name].value() or "" for name in form.fields}
    return texts | {"form_key": key_on(page), "version": page.context["version"]}


# --- customers ----------------------------------------------------------------------


def test_known_customer_is_found_whatever_the_case(owner_client):
    customer = CustomerFactory(name="Jörg Straßner")
    enquiry(owner_client, known="JÖRG STRASSNER", customer_name="")
    assert Order.objects.get().customer == customer


def test_of_two_customers_of_one_name_the_list_tells_which(owner_client):
    CustomerFactory(name="Ada Quist")
    second = CustomerFactory(name="Ada Quist")
    page = enquiry(owner_client, known="Ada Quist", customer_name="")
    assert "Several customers" in errors_on(page, "known")
    enquiry(owner_client, known=f"Ada Quist ({second.pk})", customer_name="")
    assert Order.objects.get().customer == second


def test_number_of_somebody_else_does_not_lend_the_name(owner_client):
    other = CustomerFactory(name="Ada Quist")
    page = enquiry(owner_client, known=f"Bo Lund ({other.pk})", customer_name="")
    assert "No customer has this name" in errors_on(page, "known")


def test_known_and_new_customer_at_once_is_asked_back(owner_client):
    CustomerFactory(name="Ada Quist")
    page = enquiry(owner_client, known="Ada Quist")
    assert "not both" in errors_on(page, "customer_name")
    assert not Order.objects.exists()


def test_enquiry_from_a_customers_page_names_the_customer(owner_client):
    customer = CustomerFactory(name="Ada Quist")
    page = owner_client.get(f"/orders/new/?customer={customer.pk}")
    assert f'value="Ada Quist ({customer.pk})"' in page.content.decode()
    for nonsense in ("0", "-1", "abc", "9" * 30):
        assert owner_client.get(f"/orders/new/?customer={nonsense}").status_code == 200


# --- once ---------------------------------------------------------------------------


def test_form_sent_twice_opens_one_order(owner_client):
    sent = ENQUIRY | {"save": "1", "form_key": key_on(owner_client.get("/orders/new/"))}
    first = owner_client.post("/orders/new/", sent)
    again = owner_client.post("/orders/new/", sent)
    assert first.url == again.url
    assert (
        Order.objects.count() == Customer.objects.count() == Knife.objects.count() == 1
    )


def test_other_content_under_the_same_key_is_told_so(owner_client):
    sent = ENQUIRY | {"save": "1", "form_key": key_on(owner_client.get("/orders/new/"))}
    owner_client.post("/orders/new/", sent)
    again = owner_client.post("/orders/new/", sent | {"wish": "Thick, for pumpkins."})
    assert again.status_code == 409
    assert Order.objects.get().get_absolute_url() in again.content.decode()
    assert Order.objects.count() == 1


@pytest.mark.parametrize("key", ["", "k" * 65])
def test_form_without_a_key_is_refused(owner_client, key):
    assert enquiry(owner_client, form_key=key).status_code == 400
    assert nothing_saved()


def test_mended_form_is_saved_under_its_first_key(owner_client):
    page = enquiry(owner_client, heel_thickness="1.9")
    sent = ENQUIRY | {"save": "1", "form_key": key_on(page)}
    assert owner_client.post("/orders/new/", sent).status_code == 302


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(
    "connection.vendor == 'sqlite'", reason="needs the server that .ci/run starts"
)
def test_form_sent_many_times_at_once_opens_one_order(owner_client):
    sent = ENQUIRY | {"save": "1", "form_key": key_on(owner_client.get("/orders/new/"))}
    answers = []

    def send():
        answers.append(owner_client.post("/orders/new/", sent).status_code)
        connection.close()

    threads = [threading.Thread(target=send) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(answers) == {302}
    assert Order.objects.count() == 1


# --- what may not happen ------------------------------------------------------------


def test_fields_that_are_not_on_the_form_change_nothing(owner_client):
    more = {
        "state": "accepted",
        "number": "99-9999",
        "stage": "delivered",
        "serial": "XXXX",
    }
    enquiry(owner_client, **more, mark="ZZ", price="1", is_staff="on")
    order = Order.objects.get()
    knife = order.knives.get()
    assert (order.state, knife.stage) == ("enquiry", "")
    assert order.number != "99-9999"
    assert knife.serial != "XXXX"
    assert knife.mark != "ZZ"


def test_text_is_shown_as_text(owner_client):
    nasty = "<script>alert(1)</script>\" onmouseover='x' {{7*7}}{% load x %}"
    enquiry(owner_client, customer_name=nasty, wish=nasty, note=nasty, finish=nasty)
    order = Order.objects.get()
    assert order.customer.name == nasty
    knife = order.knives.get()
    pages = ["/", "/orders/", "/customers/", "/orders/new/", order.get_absolute_url()]
    pages += [knife.get_absolute_url(), order.customer.get_absolute_url()]
    pages += [f"{pages[-1]}edit/", f"{knife.get_absolute_url()}edit/"]
    for address in pages:
        text = owner_client.get(address).content.decode()
        assert "<script>alert" not in text
        assert '" onmouseover' not in text
    assert nasty in text_of(owner_client.get(order.get_absolute_url()))


def test_controls_are_dropped_and_letters_come_in_one_form(owner_client):
    enquiry(owner_client, customer_name="Jo\u0308rg\x00 \u202eBlau", wish="a\x00b")
    order = Order.objects.get()
    assert order.customer.name == "J\u00f6rg Blau"
    assert order.wish == "ab"


@pytest.mark.parametrize(
    "data", [{f"f{place}": "1" for place in range(1500)}, {"wish": "w" * 3_000_000}]
)
def test_more_than_a_form_can_hold_is_refused_in_words(owner_client, data):
    page = owner_client.post("/orders/new/", data)
    assert page.status_code == 400
    assert "nothing was changed" in text_of(page)


def test_opening_the_page_saves_nothing(owner_client):
    owner_client.get("/orders/new/", KNIFE | {"save": "1", "fill": "1"})
    assert nothing_saved()
    assert not SubmittedForm.objects.exists()
