"""The page of a quote's terms: kept whole, shown with its sums, in the shop's words."""

from decimal import Decimal

import pytest

from quotes.models import Extra, QuoteDraft, Variant
from shop.models import Customer, Shop, TaxSetting
from tests.factories import OrderFactory
from tests.quotes.orders import (
    address,
    number_in,
    ready_order,
    ready_shop,
    table_rows,
)
from tests.quotes.terms import extra, kept, option, send
from tests.shop.typing_in import STOCK_WORDS, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    ready_shop()
    return ready_order("One", "Other")


def page_of(client, order, name="quote-terms"):
    answer = client.get(address(name, order))
    assert answer.status_code == 200
    return answer


# --- shown ------------------------------------------------------------------------


def test_page_is_the_step_between_the_price_and_the_check(owner_client, order):
    price = page_of(owner_client, order, "price").content.decode()
    assert f'href="{address("quote-terms", order)}"' in price
    page = page_of(owner_client, order).content.decode()
    assert f'href="{address("price", order)}"' in page
    assert f'href="{address("quote-new", order)}"' in page


def test_nothing_is_chosen_beforehand(owner_client, order):
    page = page_of(owner_client, order)
    assert "checked" not in page.content.decode()
    assert "Whether it is fixed or an estimate is not said yet." in text_of(page)
    assert not QuoteDraft.objects.exists()


def test_page_says_what_makers_forget(owner_client, order):
    text = text_of(page_of(owner_client, order))
    assert "What makers forget to charge: finding the idea" in text
    assert "Photographs of the making, €40.00" in text


@pytest.mark.parametrize(
    ("business", "regime", "said"),
    [
        (False, "standard", "Amount (tax included), €"),
        (True, "standard", "Amount (before tax), €"),
        (True, "small", "Amount, €"),
    ],
)
def test_boxes_say_how_the_customer_reads(owner_client, order, business, regime, said):
    Customer.objects.update(business=business)
    TaxSetting.objects.update(regime=regime, rate=19 if regime == "standard" else 0)
    assert said in text_of(page_of(owner_client, order))


def test_helper_is_kept_out(helper_client, order):
    for method in (helper_client.get, helper_client.post):
        assert method(address("quote-terms", order)).status_code == 403


def test_page_without_a_price_takes_terms_and_says_what_is_missing(owner_client):
    order = OrderFactory(knives=1)
    page = page_of(owner_client, order)
    assert "No sums yet" in text_of(page)
    assert "has no billet yet; plan one first." in text_of(page)
    assert send(owner_client, order, kind="estimate").status_code == 302
    assert kept(order)[0].kind == "estimate"


# --- kept -------------------------------------------------------------------------


def test_terms_are_kept_whole(owner_client, order):
    knife = order.knives.first()
    answer = send(
        owner_client,
        order,
        extra(0, amount="55.5"),
        extra(1, "fees", "Card", "3", "7"),
        option(knife, 0, handle_material="olive", more="20"),
        option(knife, 1, label="Bare", ferrule="none", bolster_mass="30"),
        kind="estimate",
        valid_until="2026-12-24",
        regime="export",
        discount_percent="5",
        discount="10",
        discount_reason="regular customer",
        step="10",
    )
    assert answer.url == address("quote-terms", order)
    draft, extras, variants = kept(order)
    assert (draft.kind, draft.regime, draft.currency) == ("estimate", "export", "EUR")
    assert str(draft.valid_until) == "2026-12-24"
    assert (draft.discount_percent, draft.discount, draft.step) == (5, 10, 10)
    assert (draft.discount_reason, draft.asked) == ("regular customer", None)
    assert [(one.key, one.label, one.amount, one.percent) for one in extras] == [
        ("sheath", "", Decimal("55.50"), None),
        ("fees", "Card", 3, 7),
    ]
    assert [(one.label, one.knife, one.more) for one in variants] == [
        ("Olive", knife, 20),
        ("Bare", knife, 0),
    ]
    assert (variants[1].ferrule, variants[1].bolster_mass) == ("none", 0.03)


def test_saving_what_the_page_shows_changes_nothing(owner_client, order):
    """Law: an untouched form keeps every value."""
    send(
        owner_client,
        order,
        extra(0, amount="55.5", percent="7"),
        option(order.knives.first(), 0, handle="d", bolster_mass="12.5"),
        discount="9.9",
        discount_reason="first knife",
        asked="2500",
        step="5",
    )
    before = values_of_rows(order)
    parts = page_of(owner_client, order).context["editor"].parts
    shown = {
        one.html_name: one.field.prepare_value(one.value()) or ""
        for _name, part in parts
        for one in part
    }
    texts = {name: str(value) for name, value in shown.items()}
    send(owner_client, order, **texts, extras="3", variants="3")
    assert values_of_rows(order) == before


def values_of_rows(order):
    draft, extras, variants = kept(order)
    own = ("_state", "id", "version")
    return [
        {name: value for name, value in vars(row).items() if name not in own}
        for row in (draft, *extras, *variants)
    ]


def test_emptied_rows_go(owner_client, order):
    send(owner_client, order, extra(0), extra(1, "box"))
    send(owner_client, order, extra(0, ""), extra(1, "box"))
    assert [one.key for one in kept(order)[1]] == ["box"]
    assert (Extra.objects.count(), Variant.objects.count()) == (1, 0)


def test_empty_amount_takes_the_usual_price(owner_client, order):
    send(owner_client, order, extra(0, "idea"))
    assert kept(order)[1][0].amount == 80


def test_same_form_sent_twice_is_kept_once(owner_client, order):
    page = page_of(owner_client, order)
    data = {
        "form_key": page.context["form_key"],
        "version": "0",
        "kind": "fixed",
        "step": "0",
        "currency": "EUR",
        "extras": "1",
        **extra(0),
        "save": "1",
    }
    for _time in range(2):
        answer = owner_client.post(address("quote-terms", order), data)
        assert answer.url == address("quote-terms", order)
    assert (kept(order)[0].version, Extra.objects.count()) == (1, 1)
    other = owner_client.post(address("quote-terms", order), data | {"step": "5"})
    assert other.status_code == 409


# --- sums -------------------------------------------------------------------------


def test_sums_are_shown_before_anything_is_kept(owner_client, order):
    plain = page_of(owner_client, order).context["asked"].total
    page = send(owner_client, order, extra(0), button="try", kind="")
    assert page.status_code == 200
    asked = page.context["asked"]
    assert number_in(asked.total) == number_in(plain) + 60
    assert not page.context["editor"].has_errors
    assert not QuoteDraft.objects.exists()
    assert 'value="sheath" selected' in page.content.decode()


def test_printed_lines_add_up_to_the_total(owner_client, order):
    send(
        owner_client,
        order,
        extra(0),
        extra(1, "shipping", percent="7"),
        discount_percent="5",
        discount_reason="first knife",
        step="10",
    )
    page = page_of(owner_client, order)
    rows = [row for row in table_rows(page) if len(row) == 2]
    together = next(at for at, row in enumerate(rows) if row[0] == "Together")
    amounts = [number_in(row[1].replace("-€", "-")) for row in rows[:together]]
    assert sum(amounts) == number_in(rows[together][1])
    assert sum(amounts) % 10 == 0
    assert min(amounts) < 0


def test_options_stand_beside_each_other_with_price_mass_and_balance(
    owner_client, order
):
    knife = order.knives.first()
    send(owner_client, order, option(knife, 0, handle_material="olive", more="25"))
    for name in ("quote-terms", "price"):
        page = page_of(owner_client, order, name)
        assert f"Options for {knife}" in text_of(page)
        rows = {row[0]: row[1:] for row in table_rows(page) if len(row) == 4}
        plain, olive = rows["As it is written"], rows["Olive"]
        assert number_in(olive[0]) > number_in(plain[0]) + 24
        masses = [number_in(way[1].removeprefix("about ")) for way in (plain, olive)]
        assert masses[0] < masses[1]
        assert "in front of the heel" in plain[1]
        assert plain[1].split(")")[1] != olive[1].split(")")[1]


def test_options_of_several_knives_name_theirs(owner_client, order):
    one, other = order.knives.all()
    rows = option(one, 0, handle="d"), option(other, 1, label="Two", handle="d")
    send(owner_client, order, *rows)
    rows = [row[0] for row in table_rows(page_of(owner_client, order))]
    assert {f"Olive: {one}", f"Two: {other}"} < set(rows)


def test_total_below_the_floor_is_taken_and_told(owner_client, order):
    assert send(owner_client, order, asked="1500").status_code == 302
    for name in ("quote-terms", "price"):
        text = text_of(page_of(owner_client, order, name))
        assert "less than they cost, failures included" in text
        assert "Below cost" in text
        assert "€1,500.00" in text


def test_price_page_asks_what_the_terms_ask(owner_client, order):
    send(
        owner_client,
        order,
        extra(0),
        extra(1, "shipping", percent="7"),
        discount="30",
        discount_reason="first knife",
        asked="2600",
    )
    page = page_of(owner_client, order, "price")
    assert "As a fixed price." in text_of(page)
    by_label = {row[0]: row[1:] for row in table_rows(page) if row}
    net, gross = map(number_in, by_label["Together"])
    assert gross == 2600 == number_in(by_label["Price"][0])
    assert net == number_in(by_label["Net price"][0])
    taxes = [
        number_in(cells[0])
        for label, cells in by_label.items()
        if label.startswith("Tax, ")
    ]
    assert len(taxes) == 2
    assert net + sum(taxes) == gross
    paid = ("Deposit, with its tax", "Balance, with its tax")
    assert sum(number_in(by_label[one][0]) for one in paid) == gross
    steps = (
        "Knives at cost and the shop's margin",
        "Charged beside the knives",
        "More or less by discount, rounding or the total asked",
    )
    amounts = [number_in(by_label[one][0].replace("-€", "-")) for one in steps]
    assert sum(amounts) == net


def test_business_is_shown_the_price_before_tax(owner_client, order):
    Customer.objects.update(business=True)
    send(owner_client, order, asked="2000")
    text = text_of(page_of(owner_client, order, "price"))
    assert "Price before tax €2,000.00" in text
    assert "With €380.00 of tax it is €2,380.00." in text


def test_terms_that_cannot_be_met_any_more_leave_the_price_and_a_way_out(
    owner_client, order
):
    send(owner_client, order, discount="50", discount_reason="first knife")
    QuoteDraft.objects.update(discount=90000)
    page = page_of(owner_client, order, "price")
    assert "is more than the price of the knives" in text_of(page)
    assert page.context["unmet"][0].url == address("quote-terms", order)
    for name in ("quote-terms", "quote-new"):
        page = page_of(owner_client, order, name)
        assert "is more than the price of the knives" in text_of(page)


# --- rows -------------------------------------------------------------------------


def test_more_rows_keep_everything_typed_and_complain_of_nothing(owner_client, order):
    knife = order.knives.first()
    page = send(
        owner_client,
        order,
        extra(0, "", amount="one"),
        option(knife, 1, label="Half", more="x"),
        button="more_extras",
        kind="",
        asked="abc",
        valid_until="never",
    )
    editor = page.context["editor"]
    assert (len(editor.extras), len(editor.variants)) == (4, 2)
    assert not editor.has_errors
    html = page.content.decode()
    for text in ("one", "Half", "x", "abc", "never"):
        assert f'value="{text}"' in html
    assert not any(word in text_of(page) for word in STOCK_WORDS)


def test_there_are_eight_extras_and_five_options_at_most(owner_client, order):
    page = send(owner_client, order, button="more_variants", extras="99", variants="4")
    editor = page.context["editor"]
    assert (len(editor.extras), len(editor.variants)) == (8, 5)
    assert 'name="more_variants"' not in page.content.decode()
    rows = [extra(at, "box") for at in range(8)]
    assert send(owner_client, order, *rows, extras="8").status_code == 302
    assert len(page_of(owner_client, order).context["editor"].extras) == 8


def test_page_is_written_in_the_shop_s_language_of_numbers(owner_client, order):
    Shop.objects.filter(pk=1).update(language="de")
    send(owner_client, order, extra(0, amount="55,50"))
    assert 'value="55,50"' in page_of(owner_client, order).content.decode()
