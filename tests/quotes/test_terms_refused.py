"""Terms that are refused: a sentence beside the box, nothing kept, all typed stays."""

import datetime as dt

import pytest
from django.utils import timezone

from quotes.models import QuoteDraft
from shop import services
from shop.models import Knife, Order, Rate, Shop
from tests.quotes.orders import address, ready_order, ready_shop
from tests.quotes.terms import extra, kept, option, send
from tests.shop.typing_in import STOCK_WORDS, errors_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    ready_shop()
    return ready_order("One", "Other")


def refused(answer):
    """A page that kept nothing and speaks our own words."""
    assert answer.status_code == 200
    assert not any(word in text_of(answer) for word in STOCK_WORDS)
    assert "This needs mending" in text_of(answer)
    assert not QuoteDraft.objects.exists()
    return answer


@pytest.mark.parametrize(
    ("texts", "box", "said"),
    [
        ({"kind": ""}, "kind", "Choose whether the price is fixed or an estimate."),
        ({"kind": "gift"}, "kind", "Choose one of the list."),
        ({"valid_until": "2026-01-05"}, "valid_until", "This day is past"),
        ({"valid_until": "soon"}, "valid_until", "no day of the calendar"),
        ({"regime": "none"}, "regime", "Choose one of the list."),
        ({"step": "7"}, "step", "Choose one of the list."),
        ({"discount": "-5", "discount_reason": "x"}, "discount", "Type 0.00 or more."),
        ({"discount": "$5", "discount_reason": "x"}, "discount", "is in USD"),
        ({"discount": "5"}, "discount_reason", "Say what the discount is for."),
        (
            {"discount": "9000", "discount_reason": "x"},
            "discount",
            "is more than the price of the knives",
        ),
        (
            {"discount_percent": "100", "discount_reason": "x"},
            "discount_percent",
            "Nothing is left for the knives",
        ),
        ({"discount_percent": "101"}, "discount_percent", "Type 100.00 or less."),
        ({"asked": "0"}, "asked", "Type 0.01 or more."),
        ({"asked": "£900"}, "asked", "is in GBP"),
        ({"asked": "900.001"}, "asked", "at most 2"),
        ({"discount_reason": "r" * 81}, "discount_reason", "at most 80"),
    ],
)
def test_what_is_wrong_is_said_beside_its_box(owner_client, order, texts, box, said):
    answer = refused(send(owner_client, order, extra(0, amount="12,5"), **texts))
    assert said in errors_on(answer, box)
    assert 'value="12,5"' in answer.content.decode()


@pytest.mark.parametrize(
    ("row", "box", "said"),
    [
        ({"key": "rush"}, "amount", "The shop has no usual price for this"),
        ({"key": "", "label": "A stand"}, "key", "Choose what this is"),
        ({"key": "other", "amount": "5"}, "label", "Say in your words"),
        ({"key": "anvil"}, "key", "Choose one of the list."),
        ({"amount": "-1"}, "amount", "Type 0.00 or more."),
        ({"amount": "$60"}, "amount", "is in USD"),
        ({"percent": "101"}, "percent", "Type 100.00 or less."),
    ],
)
def test_extra_that_lacks_something_is_refused(owner_client, order, row, box, said):
    answer = refused(send(owner_client, order, extra(1, **row)))
    assert said in errors_on(answer, f"extra-1-{box}")
    assert "Extra 2." in text_of(answer)


def test_extra_of_a_usual_price_the_shop_has_taken_away_needs_an_amount(
    owner_client, order
):
    Rate.objects.filter(key="extra_sheath").update(value=0)
    answer = refused(send(owner_client, order, extra(0)))
    assert "no usual price" in errors_on(answer, "extra-0-amount")


def test_total_asked_that_leaves_nothing_for_the_knives_is_refused(owner_client, order):
    answer = refused(send(owner_client, order, extra(0, amount="80"), asked="80"))
    assert "Nothing is left for the knives" in errors_on(answer, "asked")


@pytest.mark.parametrize(
    ("texts", "box", "said"),
    [
        ({"label": "", "handle": "d"}, "label", "Give the option a name"),
        ({}, "label", "This option changes nothing and costs no more"),
        ({"handle": "octagon"}, "label", "This option changes nothing"),
        ({"handle": "scales"}, "handle", "Scales need a full tang"),
        ({"bolster_mass": "5000"}, "bolster_mass", "too heavy for a kitchen knife"),
        ({"bolster_mass": "-1", "handle": "d"}, "bolster_mass", "or more"),
        ({"more": "-5"}, "more", "Type 0.00 or more."),
        ({"handle_material": "foam"}, "handle_material", "Choose one of the list."),
    ],
)
def test_option_that_cannot_be_is_refused(owner_client, order, texts, box, said):
    row = option(order.knives.first(), 1, **texts)
    answer = refused(send(owner_client, order, row))
    assert said in errors_on(answer, f"option-1-{box}")
    assert "Option 2." in text_of(answer)


def test_two_options_of_one_name_are_refused(owner_client, order):
    knife = order.knives.first()
    rows = option(knife, 0, handle="d"), option(knife, 1, label="olive", more="5")
    answer = refused(send(owner_client, order, *rows))
    for place in range(2):
        assert "Two options" in errors_on(answer, f"option-{place}-label")


def test_option_for_a_knife_that_leaves_the_order_is_told_and_refused(
    owner_client, order
):
    knife = order.knives.first()
    send(owner_client, order, option(knife, 0, handle="d"))
    Knife.objects.filter(pk=knife.pk).update(stage="cancelled")
    page = owner_client.get(address("quote-terms", order))
    assert "is not made in this order any more" in text_of(page)
    assert f'value="{knife.serial}" selected' in page.content.decode()
    answer = send(owner_client, order, option(knife, 0, handle="d"), step="5")
    assert "not made in this order any more" in errors_on(answer, "option-0-knife")
    assert kept(order)[0].step == 0


def test_amounts_of_another_currency_are_looked_at_before_they_count(
    owner_client, order
):
    send(owner_client, order, extra(0, amount="50"))
    Shop.objects.filter(pk=1).update(currency="GBP")
    page = owner_client.get(address("quote-terms", order))
    assert "typed in EUR, and the shop prices in GBP now" in text_of(page)
    assert "typed in EUR" in text_of(owner_client.get(address("price", order)))
    answer = send(owner_client, order, extra(0, amount="45"))
    assert "look at every amount of them" in text_of(answer)
    assert kept(order)[0].currency == "EUR"
    again = {"currency": answer.context["editor"].currency}
    assert again == {"currency": "GBP"}
    assert send(owner_client, order, extra(0, amount="45"), **again).status_code == 302
    draft, extras, _variants = kept(order)
    assert (draft.currency, extras[0].amount) == ("GBP", 45)


def test_second_of_two_savers_sees_both(owner_client, order):
    knife = order.knives.first()
    send(owner_client, order, extra(0, amount="50"), option(knife, handle="d"))
    page = owner_client.get(address("quote-terms", order))
    stale = {"version": str(page.context["editor"].version)}
    send(owner_client, order, extra(0, amount="70"), asked="2600", kind="estimate")
    answer = send(owner_client, order, extra(0, amount="60"), step="5", **stale)
    assert answer.status_code == 200
    told = {one.label: (one.mine, one.theirs) for one in answer.context["differences"]}
    assert told["Extra 1"] == ("Sheath; €60.00", "Sheath; €70.00")
    assert told["The price is"] == ("a fixed price", "an estimate, not binding")
    assert told["Total you want to ask"] == ("–", "€2,600.00")
    assert told["Round the total up to"] == ("5", "–")
    assert (kept(order)[0].step, kept(order)[1][0].amount) == (0, 70)
    assert 'value="60"' in answer.content.decode()
    now = {"version": str(answer.context["editor"].version)}
    send(owner_client, order, extra(0, amount="60"), step="5", **now)
    assert kept(order)[1][0].amount == 60


def test_first_of_two_who_write_terms_is_not_lost(owner_client, order):
    send(owner_client, order, extra(0, amount="50"))
    answer = send(owner_client, order, version="0")
    assert answer.context["differences"]
    assert len(kept(order)[1]) == 1


@pytest.mark.parametrize("state", ["accepted", "delivered", "cancelled"])
def test_order_past_quoting_keeps_its_terms(owner_client, order, state):
    send(owner_client, order, step="5")
    Order.objects.filter(pk=order.pk).update(state=state)
    page = owner_client.get(address("quote-terms", order))
    assert "This order is past quoting" in text_of(page)
    assert 'name="save"' not in page.content.decode()
    answer = send(owner_client, order, extra(0, amount="47.11"))
    assert answer.status_code == 200
    assert "This order is past quoting" in text_of(answer)
    assert 'value="47.11"' in answer.content.decode()
    assert (kept(order)[0].step, kept(order)[1]) == (5, [])


def test_order_that_was_declined_can_be_quoted_again(owner_client, order):
    services.change_state(order, "declined")
    assert send(owner_client, order).status_code == 302


def test_today_is_a_day_a_quote_can_hold_until(owner_client, order):
    today = timezone.localdate()
    assert send(owner_client, order, valid_until=today.isoformat()).status_code == 302
    yesterday = (today - dt.timedelta(days=1)).isoformat()
    answer = send(owner_client, order, valid_until=yesterday)
    assert "past" in errors_on(answer, "valid_until")


@pytest.mark.parametrize(
    "odd",
    [
        {},
        {"save": "1"},
        {"try": "1"},
        {"extras": "-1", "variants": "x", "save": "1"},
        {"extras": "9" * 30, "save": "1"},
        {"version": "x", "kind": "fixed", "save": "1"},
        {"option-0-knife": "\x00", "option-0-label": "a", "variants": "1", "save": "1"},
        {"extra-0-key": "\x00", "extras": "1", "try": "1"},
        {"currency": "ZZZ", "kind": "fixed", "save": "1"},
    ],
)
def test_odd_posts_never_break_the_page(owner_client, order, odd):
    answer = owner_client.post(
        address("quote-terms", order), {"form_key": "key", **odd}
    )
    assert answer.status_code in (200, 302)
