"""An order that has everything a price needs; what a test asserts, it sets itself."""

import datetime as dt
import re
from decimal import Decimal
from html.parser import HTMLParser

from django.core.management import call_command
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from quotes import triggers
from quotes.basis import basis_of
from quotes.documents import quote_html
from quotes.models import Extra, Paper, Quote, QuoteDraft, QuoteLine, Variant
from quotes.offer.sentences import specified
from quotes.offer.specification import spec_sentences, specification
from quotes.pricing import price_order
from quotes.services import Printed
from quotes.views import issue as issue_view
from shop import services
from shop.models import Order, PaperText, Rate, Shop, TaxSetting
from tests.factories import KnifeFactory, OrderFactory, PlanFactory

LONG_AGO = dt.date(2021, 3, 1)
"""All rates count from a day before every test."""


def ready_shop():
    """The shipped rates, prices of the factories' steels, tax and an address."""
    call_command("load_rates", verbosity=0)
    for key in ("steel.dark", "steel.pale"):
        Rate.objects.create(key=key, value=Decimal("9.25"), valid_from=LONG_AGO)
    Rate.objects.update(valid_from=LONG_AGO)
    TaxSetting.objects.create(regime="standard", rate=Decimal(19), valid_from=LONG_AGO)
    Shop.objects.get_or_create(pk=1)
    Shop.objects.filter(pk=1, address="").update(address="Test yard 1")


def own_text(key, text, language="en", valid_from=LONG_AGO):
    """What the shop itself says on its papers about something."""
    return PaperText.objects.create(
        key=key, language=language, valid_from=valid_from, text=text
    )


def ready_order(*names, plan=None, **values):
    """An order of knives that come from one billet long enough for them."""
    names = names or ("Test knife",)
    order = values.pop("order", None) or OrderFactory()
    plan = plan or PlanFactory(length=min(0.16 * len(names), 0.9))
    for name in names:
        services.assign_plan(KnifeFactory(order=order, name=name, **values), plan)
    return order


def address(name, order, *more):
    return reverse(name, args=[order.number, *more])


def hidden(answer, name):
    return re.search(rf'name="{name}" value="([^"]*)"', answer.content.decode())[1]


def drafted(order, *, extras=(), options=(), **terms):
    """Terms for the next quote of an order, a fixed price if nothing else is said.

    ``extras`` are (key, amount) with more columns after them, ``options`` (name,
    columns of the order's first knife that differ).
    """
    defaults = {"kind": "fixed", "currency": Shop.current().currency, **terms}
    draft, _made = QuoteDraft.objects.update_or_create(order=order, defaults=defaults)
    for place, (key, amount, *more) in enumerate(extras, start=1):
        values = dict(zip(("label", "percent"), more, strict=False))
        Extra.objects.create(
            draft=draft, position=place, key=key, amount=Decimal(amount), **values
        )
    knife = order.knives.first()
    for place, (label, values) in enumerate(options, start=1):
        Variant.objects.create(
            draft=draft, position=place, label=label, **{"knife": knife, **values}
        )
    return draft


def check_form(client, order, *, valid_until=None, **changes):
    """What the check page would send; the terms are a fixed price if there are none."""
    if not QuoteDraft.objects.filter(order=order).exists():
        drafted(order)
    if valid_until:
        QuoteDraft.objects.filter(order=order).update(valid_until=valid_until)
    page = client.get(address("quote-new", order))
    return {
        "form_key": hidden(page, "form_key"),
        "content": hidden(page, "content"),
        "issue": "1",
        **changes,
    }


def issue(client, order, **changes):
    """Issue a quote by its page; returns the quote."""
    answer = client.post(
        address("quote-new", order), check_form(client, order, **changes)
    )
    assert answer.status_code == 302, answer.context["form"].errors
    return Order.objects.get(pk=order.pk).quotes.first()


def answer(client, quote, said, note="on the telephone", **more):
    """Write down by the page of a quote what the customer said."""
    page = client.get(quote.get_absolute_url())
    return client.post(
        address("quote-answer", quote.order, quote.revision),
        {"form_key": page.context["form_key"], "answer": said, "note": note, **more},
    )


def older_quote(order):
    """A quote as a program left it that knew no terms: no reading, no sides, no words.

    Its columns have what the migration put in.
    """
    priced = price_order(order, timezone.localdate())
    price, now = priced.lines.price, timezone.now()
    paper = Paper.objects.create(
        sha256="0" * 64, media="html", kind="quote", order=order, revision=1,
        made_at=now,
    )  # fmt: skip
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=now, paper=paper, basis=basis_of(priced),
        valid_until=timezone.localdate(), currency=priced.lines.currency,
        net=price.net, tax_rate=price.taxes[0].percent, tax=price.whole.tax,
        total=price.whole.gross, deposit=price.deposit.gross,
    )  # fmt: skip
    system = Shop.current().units
    rows = [
        QuoteLine(
            quote=quote, position=place, label=one.knife.name,
            detail=spec_sentences(specification(one, system)),
            amount=priced.lines.knives[place - 1].gross,
        )
        for place, one in enumerate(specified(priced), start=1)
    ]  # fmt: skip
    with triggers.taken_off(connection):
        QuoteLine.objects.bulk_create(rows)
    services.change_state(order, "quoted")
    return quote


def without_printer(monkeypatch):
    """Issue papers that are pages only; returns the revisions made so far."""
    made = []

    def printer(paper):
        made.append(paper.offer.revision)
        return Printed(body=quote_html(paper).encode(), media="pdf")

    monkeypatch.setattr(issue_view, "print_quote", printer)
    return made


class _Rows(HTMLParser):
    def __init__(self):
        super().__init__()
        self.rows, self.text = [], []

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.text = []

    def handle_data(self, data):
        self.text.append(data)

    def handle_endtag(self, tag):
        if tag in ("td", "th") and self.rows:
            self.rows[-1].append(" ".join("".join(self.text).split()))


def table_rows(answer):
    """The texts of every row of every table of a page."""
    reader = _Rows()
    reader.feed(answer.content.decode())
    return reader.rows


def number_in(text):
    """The number of an English text such as €1,234.50 or 12 sheets."""
    return Decimal(
        re.search(r"-?[\d,]+(?:\.\d+)?", text.replace("−", "-").replace("-€", "-"))[
            0
        ].replace(",", "")
    )
