"""How an invoice is laid out: columns that say something, nothing said twice."""

import re

import pytest

from quotes.invoices.documents import invoice_html, invoice_paper
from quotes.invoices.drafts import advance_draft, cancel_draft, final_draft
from shop.models import Shop, TaxSetting
from tests.quotes.invoicing import accepted, final, month, paid, ready_shop, today

pytestmark = pytest.mark.django_db


def page_of(draft):
    return invoice_html(invoice_paper(draft, "1", "A4"))


def final_of(order):
    return final_draft(order, Shop.current(), today(), None, today=today())


def test_advance_has_no_empty_column_of_pieces():
    shop, order = ready_shop(), accepted()
    payment = paid(order, "100")
    page = page_of(advance_draft(order, shop, payment, month(), today=today()))
    assert "Quantity" not in page
    assert "Quantity" in page_of(final_of(order))


@pytest.mark.parametrize(("regime", "rate"), [("standard", 19), ("small", 0)])
def test_details_stand_under_all_columns_but_the_first(regime, rate):
    ready_shop(regime, rate)
    page = page_of(final_of(accepted(("knife", "890.00", rate), regime=regime)))
    head = page[page.index("<thead>") : page.index("</thead>")]
    (wide,) = re.findall(r'colspan="(\d)">of steel', page)
    assert int(wide) == head.count("<th") - 1 - head.count("<thead")


def test_what_is_taken_back_has_a_true_minus_everywhere():
    shop, order = ready_shop(), accepted()
    page = page_of(cancel_draft(final(order), shop, "why", today=today()))
    assert "\u22121 pc." in page
    assert "\u2212€890.00" in page
    assert not re.search(r"-\d+ pc|-€|€-", page)


@pytest.mark.parametrize(
    ("note", "more"), [("", 0), ("Free of tax by section 6 of the act.", 1)]
)
def test_export_says_once_who_pays_duties(note, more):
    ready_shop("export", 0)
    TaxSetting.objects.update(note=note)
    page = page_of(final_of(accepted(("knife", "890.00", 0), regime="export")))
    assert page.count("Whoever buys pays duties") == more
    assert page.count("import charges") == 1 - more
