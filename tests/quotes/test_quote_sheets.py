"""How a quote's sheets are filled: no sheet of a few lines before the drawings."""

import pytest

from quotes import documents
from quotes.models import QuoteDraft
from shop.models import Shop
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import drafted, ready_order, ready_shop
from tests.quotes.sheets import needs_pango, page_sizes
from tests.quotes.test_quote_changes import change_knife, issued, paper

pytestmark = pytest.mark.django_db

WAYS = (
    ("Mooreiche", {"handle_material": "bog_oak"}),
    ("D-Form", {"handle": "d"}),
    ("Olive", {"handle_material": "olive"}),
)


@needs_pango
@pytest.mark.parametrize(
    ("size", "names"), [("letter", ["Gyuto"]), ("A4", ["Gyuto", "Petty"])]
)
def test_options_and_changes_in_german_take_two_sheets(size, names):
    """Text that just runs over leaves the drawing on the same sheet."""
    ready_shop()
    Shop.objects.update(paper=size)
    order = OrderFactory(customer=CustomerFactory(language="de"))
    order = ready_order(*names, order=order)
    extras = (("sheath", "60.00"), ("shipping", "15.00"))
    drafted(order, extras=extras, step=10, options=WAYS[: 4 - len(names)])
    issued(order)
    change_knife(handle="d", length=0.17, finish="mirror")
    QuoteDraft.objects.update(kind="estimate")
    assert len(page_sizes(documents.quote_pdf(paper(order)[1]))) == 2
