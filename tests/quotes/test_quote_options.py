"""What a quote costs and how it can be had, from the terms to the bench."""

import datetime as dt
import io
from decimal import Decimal

import pytest
from django.utils import timezone
from pypdf import PdfReader

from quotes import documents, pdf, services
from quotes.errors import QuoteError
from quotes.models import Quote, QuoteAnswer
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.services import changed_since
from quotes.sheets.sheet import sheet_of
from shop import services as shop_services
from shop.models import Knife, Shop
from shop.services import StaleError
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    answer,
    drafted,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.test_quote_pdf import BESIDE
from tests.shop.typing_in import text_of as page_text

pytestmark = pytest.mark.django_db

WHEN = dt.datetime(2026, 5, 18, 9, 30, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def paper_of(*names, customer=None, terms=None, **values):
    customer = customer or CustomerFactory(name="Brun Ødegaard", address="Quay 9")
    order = ready_order(*names, order=OrderFactory(customer=customer), **values)
    drafted(order, **(terms or {}))
    priced = price_order(order, timezone.localdate())
    dates = Dates(issued_at=WHEN, valid_until=WHEN.date())
    return documents.quote_paper(priced, Shop.current(), 1, dates)


def text_of(paper):
    """The words of a paper, out of its PDF where one can be made."""
    if not pdf.available():
        pytest.skip("PDF needs Pango")
    pages = PdfReader(io.BytesIO(documents.quote_pdf(paper))).pages
    text = " ".join(page.extract_text() for page in pages)
    return " ".join(text.replace("\u00a0", " ").split())


# --- what the paper says -----------------------------------------------------------


def test_consumer_reads_amounts_with_tax_and_the_tax_in_them_by_rate():
    """German price law, PAngV section 3(1): consumers are told the total with tax."""
    paper = paper_of(terms=BESIDE)
    text = text_of(paper)
    offer = paper.offer
    for said in (
        "Price, tax included", "Sheath (tax 19 %) €61.50",
        "Packing and sending (tax 7 %) €14.90",
        "Discount of 5 % on the knives: the second knife (tax 19 %) −€",
        f"Total, tax included €{offer.total:,.2f}",
    ):  # fmt: skip
        assert said in text
    for one in offer.taxes:
        said = f"of it tax, {one.percent:.0f} % on €{one.base:,.2f} €{one.tax:,.2f}"
        assert said in text
    assert sum(line.amount for line in offer.lines) == offer.total
    assert [one.percent for one in offer.taxes] == [19, 7]


def test_business_reads_amounts_before_tax_then_the_tax_then_the_total():
    customer = CustomerFactory(name="Inn", address="Quay 9", business=True)
    paper = paper_of(customer=customer, terms=BESIDE)
    text = text_of(paper)
    offer = paper.offer
    assert "Price before tax" in text
    assert "Sheath (tax 19 %) €61.50" in text
    places = [text.index(said) for said in (
        f"Total before tax €{offer.net:,.2f}",
        f"tax, 19 % on €{offer.taxes[0].base:,.2f} €{offer.taxes[0].tax:,.2f}",
        f"tax, 7 % on €14.90 €{offer.taxes[1].tax:,.2f}",
        f"Total, tax included €{offer.total:,.2f}",
    )]  # fmt: skip
    assert places == sorted(places)
    assert sum(line.amount for line in offer.lines) == offer.net


def test_export_says_why_no_tax_is_on_it():
    customer = CustomerFactory(name="Brun Ødegaard", address="Quay 9")
    paper = paper_of(customer=customer, terms={"regime": "export"})
    text = text_of(paper)
    assert "Export without tax; the buyer pays import charges." in text
    assert "Total €" in text
    assert paper.offer.tax == 0


OPTIONS = (
    ("Plum and pale", {"handle_material": "cherry"}),
    ("Bog oak", {"handle_material": "bog_oak", "more": Decimal("35.00")}),
)


def test_options_stand_side_by_side_with_price_weight_and_balance():
    paper = paper_of(terms={"options": OPTIONS})
    text = text_of(paper)
    offer = paper.offer
    assert [one.label for one in offer.options] == [
        "As described above", "Plum and pale", "Bog oak",
    ]  # fmt: skip
    for one in offer.options:
        assert f"€{one.amount:,.2f}" in text
        assert f"about {one.mass * 1000:.0f} g" in text
        assert f"about {one.balance * 1000:.0f} mm" in text
    assert "Handle: octagon, black cherry, 128 mm ± 1.2 mm" in text
    assert "Name the option when you accept." in text
    assert "The deposit for an option is the same share of its price, 30 %." in text
    assert offer.options[0].amount == offer.total
    assert offer.options[0].detail == ""


def test_option_of_one_knife_among_several_says_which():
    paper = paper_of("First", "Second", terms={"options": OPTIONS})
    assert paper.offer.options[1].detail.startswith("First: Handle: ")


# --- the answer --------------------------------------------------------------------


@pytest.fixture
def quoted(owner_client, monkeypatch):
    """A quote with three ways to have its knife, on paper of one word."""
    without_printer(monkeypatch)
    order = ready_order(handle_material="walnut", ferrule="horn", bolster_mass=0.004)
    values = {"handle_material": "bog_oak", "ferrule": "none", "bolster_mass": 0.012}
    drafted(order, options=(OPTIONS[0], ("Bog oak", values)))
    return issue(owner_client, order)


def test_options_are_frozen_with_all_that_is_promised(quoted):
    plain, cherry, oak = quoted.options.all()
    assert (plain.label, plain.values) == ("As described above", {})
    assert plain.amount == plain.total == quoted.total
    assert plain.deposit == quoted.deposit
    assert oak.values == {
        "handle_material": "bog_oak",
        "ferrule": "",
        "bolster_mass": 0.012,
    }
    assert oak.serial == quoted.lines.get().serial
    assert "bog oak" in oak.detail
    assert oak.mass > cherry.mass
    assert all(one.net + one.tax == one.total for one in (plain, cherry, oak))


def test_yes_asks_which_option(owner_client, quoted):
    page = answer(owner_client, quoted, "yes")
    assert "Choose the option the customer takes." in page_text(page)
    assert 'value="on the telephone"' in page.content.decode()
    assert not QuoteAnswer.objects.exists()


@pytest.mark.parametrize("place", ["4", "0", "-1", "one", "2.0", "\u0662"])
def test_option_that_is_not_offered_is_refused(owner_client, quoted, place):
    page = answer(owner_client, quoted, "yes", option=place)
    assert "Choose one of the list." in page_text(page)
    assert not QuoteAnswer.objects.exists()


@pytest.mark.parametrize("place", [None, 0, 4])
def test_service_asks_which_option_as_well(quoted, place):
    with pytest.raises(QuoteError, match="choose the one the customer takes"):
        services.answer_quote(
            quoted,
            services.Reply(accepted=True, note="", option=place),
            by=None,
            at=timezone.now(),
        )
    assert not QuoteAnswer.objects.exists()


def test_chosen_option_is_what_the_bench_makes(owner_client, quoted):
    done = answer(owner_client, quoted, "yes", option="3")
    assert done.status_code == 302
    given = QuoteAnswer.objects.get()
    assert given.option.position == 3
    assert given.sha256 == quoted.paper.sha256
    knife = Knife.objects.for_list().get()
    assert (knife.handle_material, knife.ferrule) == ("bog_oak", "")
    assert knife.bolster_mass == pytest.approx(0.012)
    assert knife.stage == "forge"
    sheet = sheet_of(knife, Shop.current())
    assert "bog oak" in str(sheet)
    assert "walnut" not in str(sheet)
    assert not changed_since(quoted)


def test_quote_page_says_which_option_was_taken_and_its_price(owner_client, quoted):
    answer(owner_client, quoted, "yes", option="3")
    taken = quoted.options.get(position=3)
    text = page_text(owner_client.get(quoted.get_absolute_url()))
    assert "this is the option that was taken" in text
    assert f"€{taken.total:,.2f} in all" in text
    assert f"a deposit of €{taken.deposit:,.2f}" in text


def test_first_option_leaves_the_knife_as_it_is_written(owner_client, quoted):
    before = Knife.objects.values().get()
    answer(owner_client, quoted, "yes", option="1")
    after = Knife.objects.values().get()
    assert after == before | {"stage": "forge"}


def test_no_needs_no_option(owner_client, quoted):
    answer(owner_client, quoted, "no", option="3")
    given = QuoteAnswer.objects.get()
    assert (given.accepted, given.option) == (False, None)
    assert given.sha256 == quoted.paper.sha256
    assert Knife.objects.get().handle_material == "walnut"


def test_text_typed_for_another_bolster_does_not_stay_beside_the_chosen_one(quoted):
    Knife.objects.update(typed={"bolster_mass": "4 g", "length": "163 mm"})
    services.answer_quote(
        quoted,
        services.Reply(accepted=True, note="", option=3),
        by=None,
        at=timezone.now(),
    )
    assert Knife.objects.get().typed == {"length": "163 mm"}


def test_option_whose_knife_somebody_saves_meanwhile_is_not_half_accepted(
    owner_client, quoted, monkeypatch
):
    def meanwhile(knife, values):
        raise StaleError(knife)

    monkeypatch.setattr(shop_services, "change_knife", meanwhile)
    page = answer(owner_client, quoted, "yes", option="2")
    assert "Someone else has just changed this knife" in page_text(page)
    assert not QuoteAnswer.objects.exists()
    assert Quote.objects.get().order.state == "quoted"


def test_knife_changed_after_the_option_was_taken_is_not_as_quoted(quoted):
    services.answer_quote(
        quoted,
        services.Reply(accepted=True, note="", option=2),
        by=None,
        at=timezone.now(),
    )
    assert not changed_since(quoted)
    shop_services.change_knife(Knife.objects.get(), {"handle_material": "olive"})
    assert changed_since(quoted)
