"""Before the yes the private page says all that the paper says, and what comes next."""

import datetime as dt
import html
import re
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes import documents
from quotes.offer.beside import kept_beside
from quotes.offer.frozen import kept_offer
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.private.case import Case
from quotes.private.page import page_of
from shop.models import Rate, Shop, TaxSetting
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    LONG_AGO,
    drafted,
    issue,
    own_text,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.privates import no, opened, quoted_order, seen, yes

pytestmark = pytest.mark.django_db

OLIVE = ("Olive", {"handle_material": "olive"})


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


def paper_of(order):
    """The paper as it would be printed today."""
    dates = Dates(
        issued_at=timezone.now(),
        valid_until=timezone.localdate() + dt.timedelta(days=30),
    )
    return documents.quote_paper(
        price_order(order, timezone.localdate()), Shop.current(), 1, dates
    )


def plain(text):
    return " ".join(html.unescape(str(text)).replace("\u00a0", " ").split())


def drawn(**of):
    """An order with terms, and its paper."""
    customer = CustomerFactory(name="Brun Ødegaard", address="Quay 9")
    bare = OrderFactory(customer=customer, **of.pop("order", {}))
    order = ready_order(*of.pop("names", ()), order=bare)
    drafted(order, **of)
    return order, paper_of(order)


KINDS = {
    "plain": {},
    "estimate, two rates, discount": {
        "kind": "estimate", "discount_percent": Decimal(5),
        "extras": (("sheath", "61.50"), ("shipping", "14.90", "", Decimal(7))),
    },
    "two knives": {"names": ("One", "Other")},
    "promised": {"order": {"promised_week": dt.date(2026, 8, 3)}},
    "export": {"regime": "export"},
}  # fmt: skip


@pytest.mark.parametrize("of", KINDS.values(), ids=KINDS)
def test_page_says_what_the_paper_says(owner_client, of):
    order, paper = drawn(**of)
    issue(owner_client, order)
    text = seen(opened(order)[0])
    wanted = [paper.kind[1], paper.tolerances, *paper.prices.lines, *paper.prices.sums]
    texts = [getattr(one, "label", one) for one in wanted]
    texts += [one.amount for one in paper.prices.lines + paper.prices.sums]
    for heading, said in (*paper.parts[:-1], *paper.notes):
        texts += [heading, *([said] if isinstance(said, str) else said)]
    for table in paper.tables:
        texts += [one for _label, row in table.rows for one in row if one != "–"]
    assert len(texts) > 30
    for one in texts:
        assert plain(one) in text, one


def test_two_knives_lines_options_and_deposits_stand_as_on_the_paper(owner_client):
    order, paper = drawn(names=("One", "Other"), options=[OLIVE])
    quote = issue(owner_client, order)
    text = seen(opened(order)[0])
    for row, kept in zip(paper.prices.options, quote.options.all(), strict=True):
        assert plain(row.amount) in text
        assert f"€{kept.deposit:,.2f} of it as deposit" in text
    assert "goes by what you choose" in text
    assert "A deposit of" not in text


@pytest.mark.parametrize("key", ["terms", "care", "legal", "ladder", "collect"])
def test_shops_own_words_of_the_day_of_issue_stand_on_the_page(owner_client, key):
    own_text(key, "Said in the shop's own way.")
    order = quoted_order(owner_client)
    own_text(key, "Said later.", valid_from=timezone.localdate() + dt.timedelta(1))
    assert "Said in the shop's own way." in seen(opened(order)[0])


def test_ladder_is_the_one_of_the_day_of_issue(owner_client):
    Rate.objects.filter(key="cancel_before").update(value=Decimal("17.5"))
    order = quoted_order(owner_client)
    Rate.objects.filter(key="cancel_before").update(value=Decimal(99))
    text = seen(opened(order)[0])
    assert "Cancelled before the steel is cut: 17.5 % of the agreed price" in text
    assert "99 %" not in text


def test_old_quote_that_kept_little_is_shown_all_the_same(owner_client):
    order = quoted_order(owner_client)
    quote = order.quotes.get()
    words = {"words": quote.basis["words"], "knives": quote.basis["knives"]}
    for quote.basis in (words, {}):
        text = _shown(order, quote)
        assert f"A deposit of €{quote.deposit:,.2f}" in text
        assert "goes by how far the work is" in text


def _shown(order, quote):
    """What the page would say of a quote that is not saved so."""
    offer = kept_offer(quote)
    case = Case(
        order=order, shop=Shop.current(), quote=quote, offer=offer,
        beside=kept_beside(quote, order, offer), answer=None, state="open", left={},
    )  # fmt: skip
    page = page_of(case)
    return plain(f"{page.parts} {page.terms} {page.knives}")


# --- what happens next ------------------------------------------------------------


def steps(order):
    body = opened(order)[0].get("/q/view/").content.decode()
    way = re.search(r'<ol class="way">(.*?)</ol>', body, re.DOTALL)
    return [plain(one) for one in re.findall(r"<li>(.*?)</li>", way[1])] if way else []


def test_steps_lead_from_the_yes_to_the_handing_over(owner_client):
    order = quoted_order(owner_client)
    quote = order.quotes.get()
    rest = quote.total - quote.deposit
    first, asked, bought, here, balance, handed = steps(order)
    assert first.startswith("You say yes at the end of this page, by ")
    assert f"request for the deposit of €{quote.deposit:,.2f}" in asked
    assert "steel is bought and the work begins" in bought
    assert "every stage, and photos" in here
    assert f"final photos, and with them a request for the balance of €{rest:,.2f}" in (
        balance
    )
    assert handed == "When the balance is here, it is handed over to you."


def test_steps_without_a_deposit_and_with_sending(owner_client):
    Rate.objects.filter(key="deposit").update(value=0)
    Shop.objects.update(deposit_covers=False)
    order, _paper = drawn(extras=(("shipping", "14.90"),))
    issue(owner_client, order)
    _first, begun, _here, _balance, sent = steps(order)
    assert begun == "Your steel is bought and the work begins."
    assert sent == "When the balance is here, it is sent to you."


def test_steps_with_everything_paid_before(owner_client):
    Rate.objects.filter(key="deposit").update(value=100)
    order = quoted_order(owner_client)
    assert steps(order)[-1] == "When it is finished, it is handed over to you."
    assert not any("balance" in one for one in steps(order))


def test_steps_with_options_name_no_amount(owner_client):
    order, _paper = drawn(options=[OLIVE])
    issue(owner_client, order)
    assert steps(order)[0].startswith("You choose and say yes")
    assert "€" not in " ".join(steps(order))


def test_nothing_comes_next_after_a_no(owner_client):
    order = quoted_order(owner_client)
    customer, _link = opened(order)
    no(customer)
    assert "What happens next" not in seen(customer)


def test_price_stands_at_the_head_of_the_page(owner_client):
    order = quoted_order(owner_client)
    customer, _link = opened(order)
    text, total = (
        seen(customer),
        f"€{order.quotes.get().total:,.2f} Price, tax included",
    )
    assert text.index(total) < text.index("Edge, heel to tip")
    yes(customer)
    assert "Ordered on" in seen(customer)


def test_small_business_says_so_before_and_after_the_yes(owner_client):
    TaxSetting.objects.update(regime="small", rate=0, valid_from=LONG_AGO)
    order = quoted_order(owner_client)
    customer, _link = opened(order)
    said = "the small business exemption applies"
    assert said in seen(customer)
    yes(customer)
    assert said in seen(customer)


def test_paper_names_the_link_among_the_ways_to_answer():
    order = ready_order(order=OrderFactory(customer=CustomerFactory()))
    drafted(order)
    assert "by the link you were sent" in " ".join(paper_of(order).parts[-1][1])
