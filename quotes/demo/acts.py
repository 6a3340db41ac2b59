"""What can happen in the demo's story, each act through the shop's own services."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django.core.management.base import CommandError
from django.http import QueryDict

from billets.models import BarSize, Equipment, Plan, PlanStep
from billets.services import save_plan
from billets.units import to_si
from quotes import services as quotes
from quotes.basis import basis_of
from quotes.demo import bench
from quotes.demo.cast import Cast
from quotes.demo.story import Act, Row, measured, typed
from quotes.documents import print_quote, quote_paper
from quotes.models import Extra, Quote, QuoteDraft, Variant
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.sheets.documents import keep_printed, next_stamp, print_sheet
from quotes.sheets.sheet import sheet_of
from shop import payments, services
from shop.forms.knives import SPEC, KnifeForm
from shop.models import Knife, Shop
from shop.payments import Received

SYSTEM = "metric"
AMOUNTS = ("discount", "discount_percent", "asked", "step")
"""Numbers in the terms of a quote."""

SAME = 1e-6
"""So near two bars are of one size [m]."""


def ask(cast: Cast, act: Act) -> None:
    """Open an order for whoever asks."""
    said = act.said
    wanted = said["knives"]
    order = services.open_order(
        customer=cast.customers[said["customer"]],
        wish=said["wish"],
        promised_week=cast.week(said.get("promised")),
        knives=[knife_values(row) for row in wanted.values()],
        by=cast.who(act),
        at=act.at,
    )
    cast.orders[act.order] = order.pk
    rows = order.knives.order_by("pk").values_list("pk", flat=True)
    cast.knives.update(zip(wanted, rows, strict=True))


def plan(cast: Cast, act: Act) -> None:
    """Plan a billet for some knives."""
    written = cast.plans[act.said["plan"]]
    rows = {key: written[key] for key in written if key not in ("bars", "steps")}
    named = {key: Equipment.objects.get(name=rows.pop(key))
             for key in ("forge", "tool", "saw")}  # fmt: skip
    billet = Plan(**measured(Plan, rows), **named, typed=typed(Plan, rows))
    bars = {letter: _bar(row) for letter, row in written["bars"].items()}
    steps = [measured(PlanStep, row) | {"typed": typed(PlanStep, row)}
             for row in written["steps"]]  # fmt: skip
    save_plan(billet, bars, steps)
    Plan.objects.filter(pk=billet.pk).update(changed=act.at)
    for key in act.said["knives"]:
        services.assign_plan(cast.knife(key), billet)


def _bar(row: Row) -> BarSize:
    """Return the bar of a steel that has a section."""
    thick, wide = to_si(row["thickness"], "thickness"), to_si(row["width"], "length")
    return BarSize.objects.get(
        steel__key=row["steel"],
        thickness__range=(thick - SAME, thick + SAME),
        width__range=(wide - SAME, wide + SAME),
    )


def quote(cast: Cast, act: Act) -> None:
    """Issue a quote, computed, printed and kept as a page of the shop does it."""
    write_terms(cast, act)
    order, shop, day = cast.order(act.order), Shop.current(), act.at.date()
    dates = Dates(issued_at=act.at, valid_until=quotes.valid_until(shop, day))
    priced = price_order(order, day)
    paper = quote_paper(priced, shop, quotes.next_revision(order), dates)
    quotes.issue_quote(
        order,
        paper.offer,
        print_quote(paper),
        basis_of(priced),
        by=cast.who(act),
    )


def write_terms(cast: Cast, act: Act) -> None:
    """Write the terms of a quote; those of the one before are gone."""
    order, said = cast.order(act.order), act.said
    QuoteDraft.objects.filter(order=order).delete()
    told = {name: Decimal(said[name]) for name in AMOUNTS if name in said}
    draft = QuoteDraft.objects.create(
        order=order, currency=Shop.current().currency, kind=said["kind"],
        discount_reason=said.get("discount_reason", ""), **told,
    )  # fmt: skip
    for place, row in enumerate(said.get("extras", ()), start=1):
        amount = Decimal(row["amount"])
        Extra.objects.create(draft=draft, position=place, **{**row, "amount": amount})
    for place, row in enumerate(said.get("options", ()), start=1):
        values = measured(Variant, {key: row[key] for key in row if key != "knife"})
        if "more" in values:
            values["more"] = Decimal(values["more"])
        Variant.objects.create(
            draft=draft, position=place, knife=cast.knife(row["knife"]), **values
        )


def answer(cast: Cast, act: Act) -> None:
    """Write down a yes or no to the last quote, and which option it was."""
    reply = quotes.Reply(
        accepted=act.kind == "accept",
        note=act.said["note"],
        option=act.said.get("option"),
    )
    last = Quote.objects.filter(order=cast.orders[act.order]).latest("revision")
    quotes.answer_quote(last, reply, by=cast.who(act), at=act.at)


def pay(cast: Cast, act: Act) -> None:
    """Enter the deposit or the balance, as far as it is open."""
    order = cast.order(act.order)
    deposit = act.said["what"] == "deposit"
    open_now = payments.deposit_missing if deposit else payments.balance
    one = Received(
        amount=open_now(order), received_on=act.at.date(), reference=order.number
    )
    payments.receive(order, one, by=cast.who(act), at=act.at)


def move(cast: Cast, act: Act) -> None:
    """Move a knife past its gate, or off the bench for a reason."""
    services.move_knife(
        cast.knife(act.said["knife"]),
        act.said["to"],
        gate_passed="reason" not in act.said,
        by=cast.who(act),
        at=act.at,
        reason=act.said.get("reason", ""),
    )


def back(cast: Cast, act: Act) -> None:
    """Take a wrong move back."""
    services.correct_move(
        cast.knife(act.said["knife"]),
        act.said["to"],
        reason=act.said["reason"],
        by=cast.who(act),
        at=act.at,
    )


def sheet(cast: Cast, act: Act) -> None:
    """Print a build sheet for the bench."""
    knife = cast.knife(act.said["knife"])
    said = sheet_of(knife, Shop.current())
    stamp, paper = next_stamp(knife, said.content, act.at)
    printed = None if paper else print_sheet(said, stamp)
    keep_printed(knife, said.content, printed, stamp, by=cast.who(act))


def change(cast: Cast, act: Act) -> None:
    """Change a knife as the customer now wants it."""
    knife = cast.knife(act.said["knife"])
    services.change_knife(knife, knife_values(act.said["new"], like=knife))


def again(cast: Cast, act: Act) -> None:
    """Make a knife again that was lost."""
    like = cast.knife(act.said["knife"])
    new = services.add_knife(
        cast.order(act.order), knife_values({}, like=like), by=cast.who(act), at=act.at
    )
    cast.knives[act.said["as"]] = new.pk


def cancel(cast: Cast, act: Act) -> None:
    """Cancel an order with all its knives."""
    services.cancel_order(
        cast.order(act.order), reason=act.said["reason"], by=cast.who(act), at=act.at
    )


ACTS: Mapping[str, Callable[[Cast, Act], None]] = MappingProxyType(
    {
        "ask": ask, "plan": plan, "quote": quote, "accept": answer, "decline": answer,
        "sheet": sheet, "move": move, "back": back, "change": change, "again": again,
        "cancel": cancel, "pay": pay, "hours": bench.hours, "weigh": bench.weigh,
    }
)  # fmt: skip
"""Everything that can happen, by its word in the story."""


def knife_values(row: Row, *, like: Knife | None = None) -> dict[str, Any]:
    """Return a knife as its form would, typed into it box by box."""
    texts = _texts(like) if like else {}
    sent = QueryDict(mutable=True)
    sent.update(texts | dict(row))
    form = KnifeForm.sent(sent, SYSTEM)
    if not form.is_valid():
        raise CommandError(f"{row}: {form.errors.as_text()}")
    return form.knife_values()


def _texts(knife: Knife) -> dict[str, Any]:
    """Return what the boxes of a knife's form hold; its name follows its size."""
    form = KnifeForm(instance=knife, system=SYSTEM)
    held = {name: form[name].value() for name in SPEC}
    return {name: "" if value is None else value for name, value in held.items()} | {
        "name": ""
    }
