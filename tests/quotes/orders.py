"""An order that has everything a price needs; what a test asserts, it sets itself."""

import datetime as dt
import re
from decimal import Decimal
from html.parser import HTMLParser

from django.core.management import call_command
from django.urls import reverse

from shop import services
from shop.models import Order, Rate, TaxSetting
from tests.factories import KnifeFactory, OrderFactory, PlanFactory

LONG_AGO = dt.date(2021, 3, 1)
"""All rates count from a day before every test."""


def ready_shop():
    """The shipped rates, prices of the factories' steels, and a tax setting."""
    call_command("load_rates", verbosity=0)
    for key in ("steel.dark", "steel.pale"):
        Rate.objects.create(key=key, value=Decimal("9.25"), valid_from=LONG_AGO)
    Rate.objects.update(valid_from=LONG_AGO)
    TaxSetting.objects.create(regime="standard", rate=Decimal(19), valid_from=LONG_AGO)


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


def check_form(client, order, **changes):
    """What the check page would send."""
    page = client.get(address("quote-new", order))
    return {
        "form_key": hidden(page, "form_key"),
        "content": hidden(page, "content"),
        "valid_until": hidden_date(page),
        "issue": "1",
        **changes,
    }


def hidden_date(page):
    return page.context["form"]["valid_until"].value().isoformat()


def issue(client, order, **changes):
    """Issue a quote by its page; returns the quote."""
    answer = client.post(
        address("quote-new", order), check_form(client, order, **changes)
    )
    assert answer.status_code == 302, answer.context["form"].errors
    return Order.objects.get(pk=order.pk).quotes.first()


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
    return Decimal(re.search(r"-?[\d,]+(?:\.\d+)?", text)[0].replace(",", ""))
