"""A quote as it was issued, row by row, and ways to change it afterwards."""

import datetime as dt
from decimal import Decimal

from django.contrib.auth.models import User
from django.core import serializers
from django.db import connection
from django.db.models import F
from django.utils import timezone

from quotes import store
from quotes.models import (
    DeductedAdvance,
    Invoice,
    InvoiceLine,
    Paper,
    Quote,
    QuoteAnswer,
    QuoteLine,
    QuoteOption,
)
from quotes.triggers import FROZEN
from shop.models import Customer, Knife, Order
from tests.factories import OrderFactory

PDF = b"%PDF-1.7 as the customer saw it"


def issued(by=None):
    """A quote of one line and one option, answered, its paper, a sheet, invoices."""
    order = OrderFactory(knives=1)
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=timezone.now(), by=by,
        valid_until=dt.date(2026, 9, 30), currency="EUR", net=Decimal(300),
        tax_rate=Decimal(20), tax=Decimal(60), total=Decimal(360), deposit=Decimal(90),
        basis={"counts": {"lines": 1, "options": 1}}, paper=paper_of(order, by),
    )  # fmt: skip
    QuoteLine.objects.create(
        quote=quote, position=1, label="Knife", amount=Decimal(360)
    )
    option = QuoteOption.objects.create(
        quote=quote, position=1, label="As written", mass=0.21, balance=0.02,
        amount=Decimal(360), net=Decimal(300), tax=Decimal(60), total=Decimal(360),
        deposit=Decimal(90),
    )  # fmt: skip
    QuoteAnswer.objects.create(
        quote=quote, accepted=False, option=option, at=timezone.now(), note="by mail"
    )
    Paper.objects.create(
        sha256=store.keep(b"a sheet"), media="pdf", kind="sheet", order=order,
        knife=order.knives.get(), revision=1, made_at=timezone.now(),
    )  # fmt: skip
    invoiced(quote)
    return quote


def invoiced(quote):
    """An advance, its final invoice, and the document that cancels that one.

    The last has the first number of all, so that a copy of the first row meets every
    key there is, the cancelling one too.
    """
    counts = {"rates": [], "reason": "", "counts": {"lines": 1, "advances": 0}}
    advance = invoice_of(quote, "advance", 2, counts)
    taking = counts | {"counts": {"lines": 1, "advances": 1}}
    final = invoice_of(quote, "final", 3, taking)
    back = invoice_of(quote, "cancel", 1, counts, cancels=final)
    for one in (back, advance, final):
        InvoiceLine.objects.create(
            invoice=one, position=1, kind="line", label="Knife", net=Decimal(300),
            percent=Decimal(20), category="S",
        )  # fmt: skip
    DeductedAdvance.objects.create(
        final=final, advance=advance, net=Decimal(75), tax=Decimal(15),
        gross=Decimal(90), received_on=dt.date(2026, 9, 1),
    )  # fmt: skip


def invoice_of(quote, kind, place, taxes, **columns):
    return Invoice.objects.create(
        pk=place, order=quote.order, quote=quote, kind=kind, number=f"2026-{place:04}",
        issued_on=dt.date(2026, 9, 2), currency="EUR", regime="standard",
        seller={"name": "Shop"}, buyer={"name": "Customer"}, net=Decimal(300),
        tax=Decimal(60), gross=Decimal(360), paid=Decimal(0), due=Decimal(360),
        taxes=taxes, paper=paper_of(quote.order, kind=kind), at=timezone.now(),
        **columns,
    )  # fmt: skip


def paper_of(order, by=None, kind="quote"):
    return Paper.objects.create(
        sha256=store.keep(PDF), media="pdf", kind=kind, order=order, revision=1,
        made_at=timezone.now(), by=by,
    )  # fmt: skip


def rows():
    """Every frozen row as it is now, and what it hangs on."""
    held = [list(model.objects.order_by("pk").values()) for model in FROZEN]
    return [*held, list(Order.objects.order_by("pk").values_list("pk"))]


def sql(statement, *values):
    with connection.cursor() as cursor:
        cursor.execute(statement, values or None)


def one_of(model):
    return model.objects.order_by("pk").first()


def copied(model, unlike=()):
    """An INSERT that copies the first row, with some columns as SQL says."""
    unlike = dict(unlike)
    names = [field.column for field in model._meta.concrete_fields]
    values = ", ".join(str(unlike.get(name, f'"{name}"')) for name in names)
    columns = ", ".join(f'"{name}"' for name in names)
    table = model._meta.db_table
    first = f"(SELECT min(id) FROM {table})"
    return f"INTO {table} ({columns}) SELECT {values} FROM {table} WHERE id = {first}"


def changed(model, **values):
    row = one_of(model)
    for name, value in values.items():
        setattr(row, name, value)
    return row


def read_in_again():
    """As loaddata does: a row of a file takes the place of the one that is there."""
    text = serializers.serialize("json", [changed(Quote, total=Decimal(1))])
    for one in serializers.deserialize("json", text):
        one.save()


def many():
    with connection.cursor() as cursor:
        cursor.executemany(
            "UPDATE quotes_quoteline SET amount = %s WHERE id = %s",
            [(1, row.pk) for row in QuoteLine.objects.all()],
        )


def over_it():
    QuoteLine.objects.bulk_create(
        [changed(QuoteLine, amount=Decimal(1))],
        update_conflicts=True, update_fields=["amount"], unique_fields=["id"],
    )  # fmt: skip


BY_THE_PROGRAM = {
    "save a quote with another total": lambda: changed(Quote, total=1).save(),
    "save one field": lambda: changed(Quote, kind="estimate").save(
        update_fields=["kind"]
    ),
    "update the total": lambda: Quote.objects.update(total=Decimal(1)),
    "add to the total": lambda: Quote.objects.update(total=F("total") + 1),
    "let it hold longer": lambda: Quote.objects.update(
        valid_until=dt.date(2030, 1, 1)
    ),
    "change what it was made from": lambda: Quote.objects.update(basis={}),
    "change taxes kept as JSON": lambda: Quote.objects.update(taxes=[{}]),
    "give it another number": lambda: Quote.objects.update(id=F("id") + 900),
    "give it another revision": lambda: Quote.objects.update(revision=7),
    "hang it on another order": lambda: Quote.objects.update(
        order=OrderFactory()
    ),
    "update or create": lambda: Quote.objects.update_or_create(
        revision=1, defaults={"total": Decimal(1)}
    ),
    "bulk update": lambda: Quote.objects.bulk_update(
        [changed(Quote, total=Decimal(1))], ["total"]
    ),
    "bulk update of lines": lambda: QuoteLine.objects.bulk_update(
        [changed(QuoteLine, label="A dearer knife")], ["label"]
    ),
    "bulk create over it": over_it,
    "read in a file over it": read_in_again,
    "save a line": lambda: changed(QuoteLine, amount=Decimal(1)).save(),
    "delete a line": lambda: one_of(QuoteLine).delete(),
    "delete the lines": lambda: QuoteLine.objects.all().delete(),
    "add a line": lambda: QuoteLine.objects.create(
        quote=one_of(Quote), position=2, label="Postage", amount=Decimal(15)
    ),
    "add a line in the place of one": lambda: QuoteLine.objects.create(
        quote=one_of(Quote), position=1, label="Discount", amount=Decimal(-15)
    ),
    "add an option": lambda: QuoteOption.objects.create(
        quote=one_of(Quote), position=2, label="Cheaper", mass=0.2, balance=0.0,
        amount=1, net=1, tax=0, total=1, deposit=0,
    ),
    "change an option": lambda: QuoteOption.objects.update(values={"handle": "d"}),
    "delete the options past the guards": lambda: QuoteOption.objects.all()._raw_delete(
        "default"
    ),
    "turn a no into a yes": lambda: changed(QuoteAnswer, accepted=True).save(),
    "delete an answer": lambda: one_of(QuoteAnswer).delete(),
    "let a paper name another file": lambda: Paper.objects.update(
        sha256=store.keep(b"%PDF-1.7 dearer")
    ),
    "change a sheet's revision": lambda: Paper.objects.filter(kind="sheet").update(
        revision=2
    ),
    "delete a sheet": lambda: Paper.objects.filter(kind="sheet").delete(),
    "give an invoice another number": lambda: Invoice.objects.filter(
        number="2026-0002"
    ).update(number="2026-0009"),
    "have less due": lambda: changed(Invoice, due=Decimal(1)).save(),
    "let an invoice be of another day": lambda: Invoice.objects.update(
        supplied_on=dt.date(2026, 1, 1)
    ),
    "change who bought": lambda: Invoice.objects.update(buyer={}),
    "delete a line of an invoice": lambda: one_of(InvoiceLine).delete(),
    "change the tax of a line": lambda: changed(
        InvoiceLine, percent=Decimal(7)
    ).save(),
    "add a line to an invoice": lambda: InvoiceLine.objects.create(
        invoice=one_of(Invoice), position=2, kind="line", label="More", net=Decimal(9),
        percent=Decimal(20), category="S",
    ),
    "take no advance off": lambda: DeductedAdvance.objects.all()._raw_delete("default"),
    "take another advance off": lambda: DeductedAdvance.objects.create(
        final=Invoice.objects.get(kind="final"), advance=one_of(Invoice), net=1, tax=0,
        gross=1, received_on=dt.date(2026, 9, 1),
    ),
    "take an advance off an advance": lambda: DeductedAdvance.objects.create(
        final=Invoice.objects.get(kind="advance"), advance=one_of(Invoice), net=1,
        tax=0, gross=1, received_on=dt.date(2026, 9, 1),
    ),
}  # fmt: skip
"""What a mistake in the program, or a script that uses it, could do."""

THINGS_IT_HANGS_ON = {
    "delete the quote": lambda: one_of(Quote).delete(),
    "delete all quotes": lambda: Quote.objects.all().delete(),
    "delete the quote past the guards": lambda: Quote.objects.all()._raw_delete(
        "default"
    ),
    "delete the paper of a quote": lambda: one_of(Paper).delete(),
    "delete an invoice that is cancelled": lambda: Invoice.objects.get(
        kind="final"
    ).delete(),
    "delete the order": lambda: Order.objects.all().delete(),
    "delete the knife": lambda: Knife.objects.all().delete(),
    "delete the customer": lambda: Customer.objects.all().delete(),
    "delete who issued it": lambda: User.objects.all().delete(),
    "delete the order by SQL": lambda: sql("DELETE FROM shop_order"),
    "delete who issued it by SQL": lambda: sql("DELETE FROM auth_user"),
}
"""Refused by keys between the tables, with triggers and without."""

BY_SQL = {
    "UPDATE": lambda: sql("UPDATE quotes_quote SET total = 1"),
    "UPDATE of values as they are": lambda: sql("UPDATE quotes_quote SET id = id"),
    "UPDATE FROM": lambda: sql(
        "UPDATE quotes_quoteline SET amount = q.net FROM quotes_quote AS q "
        "WHERE q.id = quote_id"
    ),
    "UPDATE RETURNING": lambda: sql(
        "UPDATE quotes_quoteanswer SET note = 'never said' RETURNING id"
    ),
    "UPDATE after WITH": lambda: sql(
        "WITH one AS (SELECT min(id) AS id FROM quotes_paper) UPDATE quotes_paper "
        "SET sha256 = 'f' WHERE id IN (SELECT id FROM one)"
    ),
    "UPDATE many times": many,
    "DELETE": lambda: sql("DELETE FROM quotes_quoteline"),
    "DELETE of an invoice's lines": lambda: sql("DELETE FROM quotes_invoiceline"),
    "UPDATE of an invoice": lambda: sql("UPDATE quotes_invoice SET gross = 1"),
    "INSERT of one more line of an invoice": lambda: sql(
        f"INSERT {copied(InvoiceLine, {'id': 'id + 90', 'position': '2'})}"
    ),
    "DELETE one": lambda: sql("DELETE FROM quotes_quoteanswer WHERE note = 'by mail'"),
    "INSERT ON CONFLICT": lambda: sql(
        f"INSERT {copied(QuoteLine)} ON CONFLICT (id) DO UPDATE SET amount = 1"
    ),
    "INSERT ON CONFLICT of a key": lambda: sql(
        f"INSERT {copied(QuoteOption, {'id': 'id + 90'})} "
        "ON CONFLICT (quote_id, position) DO UPDATE SET amount = 1"
    ),
    "INSERT of one more line": lambda: sql(
        f"INSERT {copied(QuoteLine, {'id': 'id + 90', 'position': '2'})}"
    ),
    "INSERT of a line below all": lambda: sql(
        f"INSERT {copied(QuoteLine, {'id': 'id + 90', 'position': '0'})}"
    ),
}
"""What a hand at the prompt of either database could do."""

BY_SQLITE = {
    "REPLACE": lambda: sql(f"REPLACE {copied(Quote, {'total': 1})}"),
    "INSERT OR REPLACE of the number as text": lambda: sql(
        "INSERT OR REPLACE "
        + copied(QuoteLine, {"id": "CAST(id AS TEXT)", "amount": 1})
    ),
    "INSERT OR REPLACE of a revision": lambda: sql(
        "INSERT OR REPLACE "
        + copied(Quote, {"id": "id + 90", "paper_id": "paper_id + 90", "total": 1})
    ),
    "INSERT OR REPLACE of an option's place": lambda: sql(
        f"INSERT OR REPLACE {copied(QuoteOption, {'id': 'id + 90', 'amount': 1})}"
    ),
    "INSERT OR REPLACE of an answer": lambda: sql(
        f"INSERT OR REPLACE {copied(QuoteAnswer, {'id': 'id + 90', 'accepted': 1})}"
    ),
    "UPDATE OR REPLACE": lambda: sql("UPDATE OR REPLACE quotes_quote SET total = 1"),
    "UPDATE OR IGNORE": lambda: sql("UPDATE OR IGNORE quotes_quote SET total = 1"),
    "UPDATE by the row's own number": lambda: sql(
        "UPDATE quotes_quoteline SET rowid = rowid + 90"
    ),
    "DELETE by the row's own number": lambda: sql(
        "DELETE FROM quotes_quoteline WHERE rowid > 0"
    ),
    "UPDATE past Django": lambda: connection.connection.execute(
        "UPDATE quotes_quote SET total = 1"
    ),
    "UPDATE with checks off": lambda: [
        sql("PRAGMA ignore_check_constraints = ON"),
        sql("PRAGMA recursive_triggers = OFF"),
        sql("UPDATE quotes_quote SET total = 1"),
    ],
}

BY_POSTGRESQL = {
    "TRUNCATE": lambda: sql("TRUNCATE quotes_quoteline"),
    "TRUNCATE CASCADE": lambda: sql("TRUNCATE shop_order CASCADE"),
    "UPDATE ONLY": lambda: sql("UPDATE ONLY quotes_quote SET total = 1"),
    "UPDATE as a replica would": lambda: [
        sql("SET LOCAL session_replication_role = replica"),
        sql("UPDATE quotes_quote SET total = 1"),
    ],
    "INSERT of a line as a replica would": lambda: [
        sql("SET LOCAL session_replication_role = replica"),
        sql(f"INSERT {copied(QuoteLine, {'id': 'id + 90', 'position': '2'})}"),
    ],
    "MERGE": lambda: sql(
        "MERGE INTO quotes_quoteline AS l USING quotes_quote AS q ON l.quote_id = q.id "
        "WHEN MATCHED THEN DELETE"
    ),
    "DO": lambda: sql("DO $$ BEGIN UPDATE quotes_quote SET total = 1; END $$"),
    "UPDATE at a cursor": lambda: [
        sql("DECLARE hand CURSOR FOR SELECT * FROM quotes_quote FOR UPDATE"),
        sql("FETCH hand"),
        sql("UPDATE quotes_quote SET total = 1 WHERE CURRENT OF hand"),
    ],
}
