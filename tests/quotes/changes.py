"""Orders that were said yes to, and changes of them as somebody types them."""

import datetime as dt
from decimal import Decimal

from django.utils import timezone

from quotes.changes_after import saving
from quotes.changes_after.figured import COLUMNS, Wish, figured
from quotes.changes_after.note import note_html
from quotes.services import Printed
from quotes.views import changes as page_view
from shop import services
from shop.models import Knife, Order, Payment
from tests.factories import OrderFactory, moment
from tests.quotes.orders import address, answer, drafted, issue, ready_order
from tests.shop.typing_in import KNIFE, key_on

WALNUT = {"handle_material": "walnut"}


def notes_kept(monkeypatch):
    """Make notes pages only, and return the list they are kept in as they are made."""
    printed = []

    def printer(note):
        printed.append(note_html(note))
        return Printed(body=printed[-1].encode(), media="html")

    monkeypatch.setattr(page_view, "print_note", printer)
    return printed


def agreed_order(*names, agreed="1000", deposit="300", promised_week=None, **values):
    """An accepted order with a billet and an agreed total, as after a yes."""
    order = ready_order(*names, **values)
    services.change_state(order, "quoted")
    services.agree_on(order, total=Decimal(agreed), deposit=Decimal(deposit))
    services.start_work(order, by=None, at=moment())
    if promised_week:
        Order.objects.filter(pk=order.pk).update(promised_week=promised_week)
    return Order.objects.get(pk=order.pk)


def said_yes(client, *names, order=None, options=(), option=None, terms=None, **values):
    """An order whose quote was issued and accepted by its pages."""
    order = ready_order(*names, order=order or OrderFactory(), **values)
    if options or terms:
        drafted(order, options=options, **(terms or {}))
    taken = {} if option is None else {"option": str(option)}
    assert answer(client, issue(client, order), "yes", **taken).status_code == 302
    return Order.objects.select_related("customer").get(pk=order.pk)


def agree(knife, **values):
    """A change of a knife that is said yes to."""
    one = made(Knife.objects.for_list().get(pk=knife.pk), **values)
    return saving.answer_change(one, accepted=True, how="told", at=moment())


def knife_of(order, place=0):
    return Knife.objects.for_list().filter(order=order).order_by("pk")[place]


def at_stage(knife, stage):
    """The knife at a stage of the bench, its gates ticked on the way."""
    way = ["forge", "grind", "harden", "finish", "handle", "sharpen"]
    for to in way[1 : way.index(stage) + 1]:
        services.move_knife(knife, to, gate_passed=True, by=None, at=moment())
    return knife


def wish(knife, *, cut=False, fee=None, total=None, new_week=None, **values):
    own = {name: getattr(knife, name) for name in COLUMNS}
    return Wish(
        values={**own, **values, "typed": {}}, cut=cut, new_week=new_week,
        fee=None if fee is None else Decimal(fee),
        total=None if total is None else Decimal(total),
    )  # fmt: skip


def figure(knife, **values):
    return figured(knife, wish(knife, **values), timezone.localdate())


def made(knife, **values):
    """A change that is kept and waits, its note a page of one word."""
    one = figure(knife, **values)
    number = saving.next_number(knife.order)
    asked = saving.asked_of(one, "As told", knife.version, [])
    printed = Printed(body=b"note", media="pdf")
    return saving.save_change(asked, knife, printed, number, by=None, at=moment())


def paid(order, amount):
    return Payment.objects.create(
        order=order, amount=Decimal(amount), received_on=dt.date(2026, 3, 2),
        at=moment(),
    )  # fmt: skip


def typed(client, order, button="try", **changes):
    """Send the form of a change as from a page just opened; returns the page."""
    where = address("change-new", order)
    page = client.get(where)
    data = KNIFE | {
        "hardness": "60", "name": "Test knife",
        "form_key": key_on(page), "version": page.context["version"],
        "knife": page.context["knife"].serial, "wish": "Longer", "cut": "no",
        "new_week": "", "fee": "", "total": "", button: "1",
    }  # fmt: skip
    return client.post(where, data | changes)


def kept_by_page(client, order, **changes):
    """Look at a change, then keep it, by its page; returns the answer."""
    seen = typed(client, order, **changes)
    content = seen.context["content"]
    data = {"content": content, "form_key": key_on(seen)}
    return typed(client, order, "save", **data, **changes)
