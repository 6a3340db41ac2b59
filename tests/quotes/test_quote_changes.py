"""What a revision says of the one before: each difference once, and nothing else."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes import documents, services
from quotes.basis import basis_of
from quotes.models import Extra, Quote, QuoteDraft, Variant
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.services import Printed
from shop import services as shop_services
from shop.models import Customer, Knife, Order, Rate, Shop, TaxSetting
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory
from tests.quotes.orders import drafted, older_quote, ready_order, ready_shop

pytestmark = pytest.mark.django_db

FIRST = dt.datetime(2026, 3, 2, 9, tzinfo=dt.UTC)
LATER = dt.datetime(2026, 3, 9, 9, tzinfo=dt.UTC)
TERMS = {
    "extras": (("sheath", "60.00"), ("shipping", "15.00")), "step": 10,
    "options": (("Bog oak", {"handle_material": "bog_oak"}),),
}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def paper(order, at=LATER):
    """The next quote of an order as it would be printed."""
    order = Order.objects.get(pk=order.pk)
    priced = price_order(order, timezone.localdate())
    dates = Dates(issued_at=at, valid_until=dt.date(2026, 12, 24))
    revision = services.next_revision(order)
    return priced, documents.quote_paper(priced, Shop.current(), revision, dates)


def issued(order, at=FIRST):
    priced, said = paper(order, at)
    page = Printed(body=f"{order.number} {said.offer.revision}".encode(), media="html")
    return services.issue_quote(order, said.offer, page, basis_of(priced), by=None)


@pytest.fixture
def quote():
    """A quote of one knife with a sheath, sending and an option."""
    order = ready_order("Gyuto")
    drafted(order, **TERMS)
    return issued(order)


def changes(quote):
    return plainly(paper(quote.order)[1].offer.changes)


def plainly(said):
    return [one.replace("\u00a0", " ") for one in said]


LONGER = "Edge, heel to tip of Gyuto: from 163 mm ± 2.5 mm to 170 mm ± 2.5 mm."


def change_knife(**values):
    shop_services.change_knife(Knife.objects.first(), values)


def test_first_revision_says_nothing_of_changes():
    order = ready_order()
    drafted(order)
    said = paper(order)[1]
    assert said.offer.changes == ()
    assert not [head for head, _text in said.parts if "Changed" in head]


def test_same_again_says_so(quote):
    assert changes(quote) == ["Nothing but the dates."]


def test_heading_names_the_revision_and_its_day(quote):
    parts = dict(paper(quote.order)[1].parts)
    assert parts["Changed since revision 1 of 2 March 2026"] == [
        "Nothing but the dates."
    ]


def test_total_is_told_as_it_is_read(quote):
    QuoteDraft.objects.update(asked=Decimal(4321))
    assert f"Total from €{quote.total:,.2f} to €4,321.00." in changes(quote)


def test_each_side_of_a_changed_knife_is_told_once(quote):
    change_knife(handle="d", length=0.17)
    said = changes(quote)
    assert LONGER in said
    assert (
        "Handle of Gyuto: from octagon, black walnut, 128 mm ± 1.2 mm "
        "to D shape, black walnut, 128 mm ± 1.2 mm."
    ) in said
    # What follows from that is not told again.
    assert not [one for one in said if "weight" in one or "Balance" in one]


def test_knives_that_come_and_go_are_told(quote):
    plan = Knife.objects.get().target.plan
    new = KnifeFactory(order=quote.order, name="Petty", length=0.12, height=0.03)
    shop_services.assign_plan(new, plan)
    assert "Petty is new." in changes(quote)
    old = Knife.objects.get(name="Gyuto")
    Variant.objects.all().delete()
    shop_services.move_knife(
        old, "cancelled", gate_passed=False, by=None, at=LATER, reason="not wanted"
    )
    assert f"Knife {old.serial} is no longer part of it." in changes(quote)


def test_knives_of_one_name_are_told_apart():
    order = ready_order("Steak knife", "Steak knife")
    drafted(order)
    quote = issued(order)
    change_knife(finish="mirror")
    knife = Knife.objects.first()
    assert f"Finish of Steak knife, {knife.serial}: from – to mirror." in changes(quote)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda: QuoteDraft.objects.update(kind="estimate"),
         "An estimate now, no longer a fixed price."),
        (lambda: Extra.objects.filter(key="sheath").update(amount=80),
         "Sheath: from €60.00 to €80.00."),
        (lambda: Extra.objects.filter(key="sheath").delete(),
         "No longer part of it: Sheath."),
        (lambda: Extra.objects.create(draft=QuoteDraft.objects.get(), position=3,
                                      key="box", amount=35), "New: Box, €35.00."),
        (lambda: QuoteDraft.objects.update(discount=20, discount_reason="old friend"),
         "New: Discount: old friend, −€20.00."),
        (lambda: Variant.objects.update(label="Boxwood"),
         "No longer to choose: Bog oak."),
        (lambda: QuoteDraft.objects.update(regime="export"),
         "Tax on the knives, Sheath and Packing and sending from 19 % to 0 %."),
        (lambda: Customer.objects.update(business=True),
         "Prices are now read before tax."),
    ],
)  # fmt: skip
def test_what_changes_in_the_terms_is_told(quote, change, said):
    change()
    assert said in changes(quote)


def test_option_that_costs_more_is_told(quote):
    before = quote.options.get(label="Bog oak").amount
    Variant.objects.update(more=50)
    now = before + 50
    said = f"Options: Bog oak from €{before:,.2f} to €{now:,.2f}."
    assert said in changes(quote)


def test_options_that_cost_more_are_told_in_one_sentence():
    order = ready_order("Gyuto")
    drafted(order, options=(("Bog oak", {"handle_material": "bog_oak"}),
                            ("D shape", {"handle": "d"})))  # fmt: skip
    quote = issued(order)
    Variant.objects.update(more=50)
    (said,) = changes(quote)
    assert said.startswith("Options: Bog oak from €")
    assert "; D shape from €" in said


def test_option_that_is_another_one_now_is_told(quote):
    Variant.objects.update(handle_material="", handle="d")
    assert [one for one in changes(quote) if one.startswith("Bog oak: now ")]


def test_deposit_is_told(quote):
    Rate.objects.filter(key="deposit").update(value=50)
    (said,) = changes(quote)
    assert said.startswith(f"Deposit from €{quote.deposit:,.2f} to €")


def test_last_day_is_told_unless_it_goes_with_the_day_of_issue(quote):
    until = dt.date(2026, 12, 24)
    QuoteDraft.objects.update(valid_until=until)
    priced, _paper = paper(quote.order)
    for late, told in ((dt.date(2026, 12, 31), []), (dt.date(2026, 5, 1), ["1 May"])):
        dates = Dates(issued_at=LATER, valid_until=late)
        said = documents.quote_paper(priced, Shop.current(), 2, dates).offer.changes
        found = [one for one in said if one.startswith("It holds until")]
        assert len(found) == len(told)
        assert all(day in one for day, one in zip(told, found, strict=True))


def test_tax_of_an_extra_alone_is_told(quote):
    Extra.objects.filter(key="sheath").update(percent=7)
    assert "Tax on Sheath from 19 % to 7 %." in changes(quote)


def test_derived_sizes_are_told_if_nothing_else_explains_them(quote):
    """A longer neck is no line of its own; a new finish explains no weight."""
    change_knife(neck_length=0.03, finish="mirror")
    said = " ".join(changes(quote))
    assert "Finish of Gyuto: from" in said
    assert "Whole length of Gyuto: from" in said
    assert "Finished weight" not in said, "the whole length explains it"


def test_smiths_own_words_for_an_extra_may_change_without_a_new_line():
    """An extra is known by what it is and how it is called, not by its language."""
    order = ready_order(order=OrderFactory(customer=CustomerFactory(language="de")))
    drafted(order, extras=(("sheath", "60.00"),))
    quote = issued(order)
    Customer.objects.update(language="en")
    said = changes(quote)
    assert said == ["Nothing but the dates."]


def test_customer_who_reads_another_language_now_is_told_what_changed():
    order = ready_order("Gyuto", order=OrderFactory(customer=CustomerFactory()))
    drafted(order)
    quote = issued(order)
    Customer.objects.update(language="de")
    change_knife(length=0.17)
    (length,) = [one for one in changes(quote) if "170" in one]
    assert "163" not in length


def test_other_units_alone_are_no_change(quote):
    Shop.objects.update(units="inch")
    assert changes(quote) == ["Nothing but the dates."]


def test_quote_from_before_words_were_kept_is_read_from_its_lines():
    order = ready_order("Gyuto", "Petty")
    drafted(order, kind="estimate")
    quote = older_quote(order)
    change_knife(length=0.17)
    said = changes(quote)
    assert said[0] == "An estimate now, no longer a fixed price."
    assert LONGER in said
    assert not [one for one in said if "Petty" in one]


def test_changes_are_frozen_with_the_quote(quote):
    change_knife(length=0.17)
    again = issued(quote.order, at=LATER)
    assert again.revision == 2
    kept = Quote.objects.get(revision=2).changes
    assert kept
    assert LONGER in plainly(kept)
    TaxSetting.objects.update(rate=7)
    assert Quote.objects.get(revision=2).changes == kept
