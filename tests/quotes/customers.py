"""A customer with something in every table that can hang on one, the name in each."""

import datetime as dt
from decimal import Decimal

from quotes import store
from quotes.models import (
    Extra,
    Invoice,
    InvoiceLine,
    Mail,
    Paper,
    Quote,
    QuoteAnswer,
    QuoteDraft,
    QuoteLine,
    QuoteOption,
    Variant,
)
from shop import kept_files, photos, services
from shop.models import (
    AgreedChange,
    CustomerLink,
    CustomerQuestion,
    Entry,
    Order,
    Payment,
    StageEvent,
    WorkRecord,
)
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory, PlanFactory

NAME, MAIL, PHONE = "Ottilie Zwickelsdorf", "otti@zwickelsdorf.example", "0151 7770815"
WORDS = ("ottilie", "zwickelsdorf", "7770815")
PDF = b"%PDF-1.7 for Ottilie Zwickelsdorf"
PICTURE = b"the picture of a knife"


def whole_customer(state="delivered", year=2026):
    """A customer with an order in which everything has happened."""
    customer = CustomerFactory(
        name=NAME, email=MAIL, phone=PHONE, address=f"{NAME}\nLane 3", country="DE",
        vat_number="DE136695976", note=f"{NAME} likes onions", folded=NAME.casefold(),
    )  # fmt: skip
    order = OrderFactory(customer=customer, wish=f"For {NAME}")
    plan = PlanFactory(title=f"Billet for Ottilie, {PHONE}", note=f"{MAIL} rang")
    knife = KnifeFactory(order=order, name="Ottilie's gyuto", note=NAME, finish=NAME)
    services.assign_plan(knife, plan)
    at = dt.datetime(year, 3, 2, 12, tzinfo=dt.UTC)
    _work(knife, at)
    _side(order, knife, at)
    _papers(order, at)
    Order.objects.filter(pk=order.pk).update(state=state, agreed=Decimal(90))
    return customer


def _work(knife, at):
    StageEvent.objects.create(knife=knife, stage="forge", at=at, reason=f"{NAME} came")
    StageEvent.objects.create(knife=knife, stage="grind", at=at)
    WorkRecord.objects.create(
        knife=knife, stage="forge", row="billet", hands_on=Decimal(2), at=at
    )
    Entry.objects.create(knife=knife, kind="knife", value=0.2, typed="200 g", at=at)


def _side(order, knife, at):
    Payment.objects.create(
        order=order, amount=Decimal(90), received_on=at.date(), reference=NAME, at=at
    )
    CustomerLink.objects.create(
        order=order, digest=f"{order.pk:d>64}", made_at=at, expires_on=at.date()
    )
    CustomerQuestion.objects.create(order=order, text=f"{NAME} asks", at=at)
    AgreedChange.objects.create(
        order=order, knife=knife, wish=f"{NAME} wants it longer", how=MAIL,
        values={"note": NAME}, more=Decimal(5), made_at=at,
    )  # fmt: skip
    draft = QuoteDraft.objects.create(
        order=order, currency="EUR", discount_reason=f"{NAME} is a friend"
    )
    Extra.objects.create(
        draft=draft, position=1, key="other", label=NAME, amount=Decimal(5)
    )
    Variant.objects.create(draft=draft, position=1, label=NAME, knife=knife)
    mail = Mail.objects.create(
        order=order, kind="quote", to=MAIL, subject=f"Dear {NAME}", body=NAME,
        state="failed", error=f"refused {MAIL}", at=at,
    )  # fmt: skip
    kept = kept_files.keep(photos.folder(), PICTURE)
    mail.photos.create(
        knife=knife, name=f"{order.pk:n>22}", sha256=kept, small_sha256="f" * 64,
        width=4, height=3, shown=True, final=True,
        note=f"{NAME} wanted to see this", at=at,
    )  # fmt: skip


def paper_of(order, at, kind="quote"):
    return Paper.objects.create(
        sha256=store.keep(PDF), media="pdf", kind=kind, order=order, revision=1,
        made_at=at,
    )  # fmt: skip


def _papers(order, at):
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=at, valid_until=at.date(), currency="EUR",
        net=Decimal(300), tax_rate=Decimal(20), tax=Decimal(60), total=Decimal(360),
        deposit=Decimal(90), paper=paper_of(order, at),
        basis={"counts": {"lines": 1, "options": 1}, "secret": "our margin"},
    )  # fmt: skip
    QuoteLine.objects.create(
        quote=quote, position=1, label=f"Knife for {NAME}", amount=Decimal(360)
    )
    option = QuoteOption.objects.create(
        quote=quote, position=1, label=NAME, mass=0.2, balance=0.0, amount=Decimal(360),
        net=Decimal(300), tax=Decimal(60), total=Decimal(360), deposit=Decimal(90),
    )  # fmt: skip
    QuoteAnswer.objects.create(
        quote=quote, accepted=True, option=option, typed_name=NAME, note=NAME, at=at
    )
    invoice = Invoice.objects.create(
        order=order, quote=quote, kind="final", number=f"{at.year}-{order.pk + 500:04}",
        issued_on=at.date(), currency="EUR", regime="standard", seller={"name": "Shop"},
        buyer={"name": NAME}, net=Decimal(300), tax=Decimal(60), gross=Decimal(360),
        paid=Decimal(90), due=Decimal(270), note=NAME, at=at,
        taxes={"counts": {"lines": 1, "advances": 0}},
        paper=paper_of(order, at, "final"),
    )  # fmt: skip
    InvoiceLine.objects.create(
        invoice=invoice, position=1, kind="line", label=NAME, net=Decimal(300),
        percent=Decimal(20), category="S",
    )  # fmt: skip
