"""Estimate and actual on the page, and the page on which weights are written down."""

from decimal import Decimal

import pytest
from django.urls import reverse

from billets.models import SubmittedForm
from shop.entries import forecast_mass, last_of, write_entry
from shop.models import Entry, Shop
from shop.stages import HOURS_ROWS
from tests.factories import KnifeFactory, OrderFactory, moment
from tests.quotes.afters import accepted_order, delivered, stand, work
from tests.quotes.orders import address, number_in, ready_shop, table_rows
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


@pytest.fixture
def order():
    return accepted_order("One")


@pytest.fixture
def knife(order):
    return order.knives.get()


def page_of(client, order):
    answer = client.get(address("after", order))
    assert answer.status_code == 200
    return answer


def write(knife, kind, value):
    return write_entry(knife, kind, value, f"{value} kg", by=None, at=moment())


def told(order, hours=3):
    """Every row of hours of every knife."""
    for knife in order.knives.all():
        for row in HOURS_ROWS:
            work(knife, row, hours)


# --- estimate and actual -----------------------------------------------------------


def test_order_without_an_accepted_quote_says_so_and_names_the_way_out(owner_client):
    order = OrderFactory(knives=1)
    page = page_of(owner_client, order)
    assert "No quote of this order has been accepted" in text_of(page)
    assert f'href="{address("price", order)}"' in page.content.decode()


def test_accepted_order_of_which_nothing_is_recorded_shows_no_result(
    owner_client, order
):
    text = text_of(page_of(owner_client, order))
    assert "Not finished yet" in text
    assert "Earned per hour – Nothing recorded yet. The shop's hour" in text
    assert "Hours at the bench – Nothing recorded yet." in text
    assert "if the rest goes as estimated" not in text


def test_part_of_the_hours_is_never_shown_as_if_it_were_all(owner_client, order, knife):
    work(knife, "billet", 6)
    stand(knife, "grind")
    text = text_of(page_of(owner_client, order))
    assert "Earned per hour, if the rest goes as estimated" in text
    assert "1 of 7 rows of hours are recorded in full" in text
    assert "6.00 h so far" in text


def test_delivered_order_says_what_an_hour_earned(owner_client, order, knife):
    told(order)
    order = delivered(order)
    page = page_of(owner_client, order)
    text = text_of(page)
    assert "Not finished yet" not in text
    assert "if the rest goes" not in text
    figure = page.context["earnings"][0]
    compared = page.context["found"].comparison
    labour = Decimal(21) * Decimal(50)
    assert number_in(figure.value) == round((compared.left + labour) / 21, 2)
    assert "The shop's hour in the quote: €50.00." in figure.source
    assert "no knife was scrapped" in text


def test_table_of_cost_adds_up_on_the_page(owner_client, order):
    told(order, hours=2)
    rows = [row for row in table_rows(page_of(owner_client, order)) if len(row) == 8][
        1:
    ]
    *lines, whole = rows
    for column in (2, 4):
        amounts = sum(number_in(row[column]) for row in lines)
        assert amounts == number_in(whole[column])
    by_label = {row[0]: row for row in lines}
    assert by_label["Borax"][5:] == ["–", "–", "as estimated"]


def test_worst_guesses_are_sentences_with_money_and_per_cent(owner_client, order):
    told(order, hours=40)
    text = text_of(page_of(owner_client, delivered(order)))
    compared = page_of(owner_client, order).context["found"].comparison
    first = compared.worst()[0]
    assert f"{first.percent:f}".rstrip("0").rstrip(".") in text.replace(",", "")
    assert "estimated, €2,000.00 taken" in text
    assert text.count(" taken: €") == 3


def test_order_that_cost_more_than_it_brought_is_a_loss(owner_client, order):
    told(order, hours=40)
    figure = page_of(owner_client, delivered(order)).context["earnings"][1]
    assert figure.label == "Loss"
    assert number_in(figure.value) > 10_000


def test_weights_stand_beside_their_bands(owner_client, order, knife):
    expected = forecast_mass(knife)
    write(knife, "knife", expected * 1.3)
    text = text_of(page_of(owner_client, order))
    assert "Outside its band." in text
    write(knife, "knife", expected * 1.05)
    text = text_of(page_of(owner_client, order))
    assert "Inside its band." in text
    assert f"{expected * 1000:.0f} g expected" in text


def test_scrapped_knife_is_told_with_its_money(owner_client):
    order = accepted_order("One", "Two")
    lost = stand(order.knives.first(), "scrapped")
    work(lost, "grind", 4)
    text = text_of(page_of(owner_client, order))
    assert "one knife was scrapped, and took €" in text
    assert "4.00 h of them went into scrapped knives." in text


def test_quote_of_before_is_compared_as_well(owner_client):
    order = accepted_order("One", old=True)
    told(order)
    write(order.knives.get(), "gas", 3.0)
    assert "Earned per hour €" in text_of(page_of(owner_client, delivered(order)))


def test_inches_and_pounds_are_the_shops(owner_client, order, knife):
    Shop.objects.update(units="inch")
    write(knife, "gas", 3.0)
    assert "6.614 lb" in text_of(page_of(owner_client, order))


def test_order_links_to_it_once_accepted(owner_client, order):
    link = address("after", order)
    assert link in owner_client.get(order.get_absolute_url()).content.decode()
    enquiry = OrderFactory()
    assert (
        "/after/" not in owner_client.get(enquiry.get_absolute_url()).content.decode()
    )


def test_helpers_see_no_price(helper_client, order, knife):
    assert helper_client.get(address("after", order)).status_code == 403
    for place in (order.get_absolute_url(), reverse("weighed", args=[knife.serial])):
        text = helper_client.get(place).content.decode()
        assert "/after/" not in text
        assert "€" not in text


# --- weights -------------------------------------------------------------------------


def weighed(client, knife, /, **values):
    """Send weights as from a page just opened."""
    place = reverse("weighed", args=[knife.serial])
    key = values.pop("form_key", None) or key_on(client.get(place))
    return client.post(place, {"form_key": key} | values)


def test_helper_writes_weights_down_in_any_unit(helper_client, helper, knife):
    answer = weighed(helper_client, knife, stack="1.1 kg", knife="5 oz")
    assert answer.status_code == 302
    stack, mass = last_of(knife, "stack"), last_of(knife, "knife")
    assert (stack.value, stack.typed, stack.by) == (1.1, "1.1 kg", helper)
    assert mass.value == pytest.approx(5 * 0.028349523125)  # the international ounce
    text = text_of(helper_client.get(answer.url))
    assert "typed as “5 oz”" in text
    assert "This one counts." in text


@pytest.mark.parametrize(("box", "typed", "said"), [
    ("stack", "0", "Weigh again: this must be above zero."),
    ("bar", "-1", "below zero"),
    ("gas", "much", "much"),
    ("stack", "1,250", "two ways"),
    ("bar", "9" * 30, "or less"),
    ("gas", "1." + "5" * 42, "Use at most 40 signs"),
])  # fmt: skip
def test_weight_that_is_none_is_refused_and_kept(
    helper_client, knife, box, typed, said
):
    page = weighed(helper_client, knife, **{box: typed, "knife": "140"})
    assert page.status_code == 200
    assert said in errors_on(page, box)
    assert f'value="{typed}"' in page.content.decode()
    assert 'value="140"' in page.content.decode()
    assert not Entry.objects.exists()
    assert not any(word in text_of(page) for word in STOCK_WORDS)


def test_nothing_filled_in_is_told(helper_client, knife):
    page = weighed(helper_client, knife)
    assert "Fill in what was weighed." in text_of(page)
    assert not SubmittedForm.objects.exists()


def test_what_looks_wrong_is_asked_about_and_may_be_kept(helper_client, knife):
    page = weighed(helper_client, knife, stack="1.1", bar="1.6")
    assert "Looks wrong. The bar, 1,600 g, is heavier" in errors_on(page, "bar")
    assert not Entry.objects.exists()
    asked = page.context["form"].asks
    again = {"stack": "1.1", "bar": "1.6", "asked": asked, "keep": "on"}
    assert weighed(helper_client, knife, **again).status_code == 302
    assert last_of(knife, "bar").value == 1.6


def test_tick_does_not_stand_for_another_weight(helper_client, knife):
    page = weighed(helper_client, knife, stack="1.1", bar="1.6")
    again = {"stack": "1.1", "bar": "16", "asked": page.context["form"].asks}
    page = weighed(helper_client, knife, **again, keep="on")
    assert "16,000 g" in errors_on(page, "bar")
    assert "checked" not in page.content.decode()
    assert not Entry.objects.exists()


def test_form_sent_twice_writes_once(helper_client, knife):
    key = key_on(helper_client.get(reverse("weighed", args=[knife.serial])))
    for _time in range(2):
        answer = weighed(helper_client, knife, stack="1.1", form_key=key)
        assert answer.status_code == 302
    assert Entry.objects.count() == 1


def test_entry_is_taken_back_and_stays_to_be_read(helper_client, helper, knife):
    entry = write(knife, "stack", 1.1)
    assert weighed(helper_client, knife, back=entry.pk).status_code == 302
    assert last_of(knife, "stack") is None
    page = helper_client.get(reverse("weighed", args=[knife.serial]))
    assert "Taken back" in text_of(page)
    again = weighed(helper_client, knife, back=entry.pk)
    assert "has been taken back already" in text_of(again)


@pytest.mark.parametrize("back", ["", "x", "-1", "999", "9" * 40])
def test_entry_that_is_not_there_is_not_found(helper_client, knife, back):
    assert weighed(helper_client, knife, back=back).status_code == 404


def test_entry_of_a_strange_knife_is_not_taken_back_here(helper_client, knife):
    other = accepted_order("Two").knives.get()
    entry = write(other, "knife", 0.15)
    assert weighed(helper_client, knife, back=entry.pk).status_code == 404
    assert last_of(other, "knife") == entry


def test_knife_not_begun_has_nothing_to_weigh(helper_client):
    knife = KnifeFactory()
    page = helper_client.get(reverse("weighed", args=[knife.serial]))
    assert "nothing to weigh before the work has begun" in text_of(page)
    assert 'name="stack"' not in page.content.decode()
    posted = helper_client.post(
        reverse("weighed", args=[knife.serial]), {"form_key": "k", "stack": "1"}
    )
    assert posted.status_code == 200
    assert not Entry.objects.exists()


def test_knife_page_leads_to_its_weights(helper_client, knife):
    page = helper_client.get(knife.get_absolute_url()).content.decode()
    assert reverse("weighed", args=[knife.serial]) in page
