"""Countries and accounts on papers: by name where two differ, in groups of four."""

import pytest

from quotes.countries import countries_between
from quotes.invoices.documents import invoice_html, invoice_paper
from quotes.invoices.drafts import final_draft
from quotes.pay.documents import request_html
from quotes.pay.request import request_paper
from shop.models import Customer, Order, Shop
from tests.quotes.invoicing import accepted, ready_shop, today
from tests.quotes.paying import IBAN, account, bought

pytestmark = pytest.mark.django_db

YARD, QUAY = "Test yard 1", "Quay 9\nBergen"


@pytest.mark.parametrize(
    ("seller", "buyer", "told"),
    [
        (("DE", YARD), ("NO", QUAY), ("Germany", "Norway")),
        (("DE", YARD), ("DE", QUAY), ("", "")),
        (("DE", YARD), ("", QUAY), ("", "")),
        (("", YARD), ("NO", QUAY), ("", "Norway")),
        (("DE", YARD), ("NO", f"{QUAY}\nnorway "), ("Germany", "")),
        (("DE", YARD), ("QQ", QUAY), ("Germany", "QQ")),
    ],
)
def test_country_is_named_only_between_two(seller, buyer, told):
    """Names of the Unicode CLDR, as Babel has them."""
    assert countries_between(seller, buyer) == told


@pytest.mark.parametrize(
    ("language", "names"),
    [("en", ("Germany", "Norway")), ("de", ("Deutschland", "Norwegen"))],
)
def test_papers_name_both_countries_in_the_customers_language(language, names):
    shop = ready_shop(country="DE", iban=IBAN, account_holder="A. Holder")
    order = accepted(address=QUAY, country="NO", language=language)
    draft = final_draft(order, shop, today(), None, today=today())
    pages = [invoice_html(invoice_paper(draft, "1", "A4"))]
    asking = Order.objects.select_related("customer").get(pk=bought().pk)
    Customer.objects.filter(pk=asking.customer_id).update(
        address=QUAY, country="NO", language=language
    )
    asking = Order.objects.select_related("customer").get(pk=asking.pk)
    account(country="DE")
    pages.append(
        request_html(request_paper(asking, Shop.current(), "deposit", today()))
    )
    for page in pages:
        assert all(f"<br>{name}" in page for name in names)
        assert "DE89 3704 0044 0532 0130 00" in page
        assert IBAN not in page


def test_invoice_within_one_country_names_none():
    shop = ready_shop(country="DE")
    order = accepted(address=QUAY, country="DE")
    draft = final_draft(order, shop, today(), None, today=today())
    page = invoice_html(invoice_paper(draft, "1", "A4"))
    assert "Germany" not in page
    assert "<br>DE" not in page
    assert draft.seller["country"] == "DE"  # the terms keep it (BT-40)
