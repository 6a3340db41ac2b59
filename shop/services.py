"""What can be done to an order and its knives, each act whole or not at all."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F

from billets.knives import spec_of_row
from billets.models import Plan, PlanTarget
from billets.physics.errors import _
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec, spec_fittings
from shop import again, payments, serials, stages
from shop.models import Customer, Knife, Order, Shop, StageEvent, folded
from shop.settled import cancellation
from shop.stages import StageError

Values = Mapping[str, Any]


STAYS_FREE = frozenset({"name", "note", "typed", "forging", "allowance"})
"""Columns of a knife that are the bench's own: no quote binds them."""


class StaleError(ValueError):
    """Somebody else saved this in the meantime; ``current`` is how it stands now."""

    def __init__(self, current: Any) -> None:
        super().__init__("saved by somebody else in the meantime")
        self.current = current


# --- specification ---------------------------------------------------------------


def spec_of(knife: Knife) -> KnifeSpec:
    """Return the core's specification of a knife as it is saved."""
    return spec_of_row(knife)


def target_values(
    label: str, spec: KnifeSpec, result: KnifeResult, hardness: float
) -> dict[str, Any]:
    """Return what the bar must offer for a knife, as a billet's plan keeps it.

    Forging lengthens and widens a bar, so its length counts only where the outline
    is cut from the bar as it is.
    """
    blank = result.blank
    from_flat = blank.length + spec.neck_length + spec_fittings(spec).tang.length
    return {
        "label": label,
        "needed": blank.needed,
        "clean_needed": blank.clean_needed,
        "thickness": blank.bar_thickness,
        "width_low": blank.bar_width_low,
        "width_high": blank.bar_width_high,
        "length": from_flat if spec.forging == "bar" else 0.0,
        "blade_height": spec.height,
        "spine": spec.heel_thickness,
        "behind_edge": spec.behind_edge,
        "hardness": hardness,
    }


# --- the shop ---------------------------------------------------------------------


def save_shop(shop: Shop, values: Values) -> Shop:
    """Change the shop's row, or make it; StaleError if somebody else has meanwhile."""
    for name, value in values.items():
        setattr(shop, name, value)
    if Shop.objects.filter(pk=shop.pk).exists():
        _save_versioned(shop, list(values))
    else:
        shop.save(force_insert=True)
    return shop


# --- customers and orders --------------------------------------------------------


def save_customer(values: Values, *, customer: Customer | None = None) -> Customer:
    """Make or change a customer; the folded name is what search and sorting use."""
    customer = customer or Customer()
    # A form has put the new name on the row already, so the old one is looked up.
    called = Customer.objects.filter(pk=customer.pk).values_list("name", flat=True)
    before = called.first()
    for name, value in values.items():
        setattr(customer, name, value)
    customer.folded = folded(customer.name)
    if customer.pk is None:
        customer.save()
        return customer
    customer.unnamed = customer.unnamed and customer.name == before
    _save_versioned(customer, [*values, "folded", "unnamed"])
    for order in customer.orders.all():
        _refold(order)
    return customer


@transaction.atomic
def open_order(
    *,
    customer: Customer,
    wish: str,
    promised_week: dt.date | None,
    knives: Sequence[Values],
    by: User | None,
    at: dt.datetime,
) -> Order:
    """Open an order with its knives; PlanError if one of them cannot be made.

    StageError if the customer was erased meanwhile.
    """
    order = Order(customer=customer, wish=wish, promised_week=promised_week, created=at)
    order.number = _next_number(at)
    if Customer.objects.filter(pk=customer.pk).exclude(erased=None).exists():
        raise StageError(_("This customer was erased: type the name again as a new "
                           "customer."), field="known")  # fmt: skip
    order.folded = folded(order.number, customer.name)
    order.save()
    for values in knives:
        add_knife(order, values, by=by, at=at)
    return order


def _next_number(at: dt.datetime) -> str:
    """Return the next order number of the year; the unique column guards it."""
    hold_shop()
    year = f"{at:%y}-"
    last = Order.objects.filter(number__startswith=year).order_by("-pk").first()
    return f"{year}{int(last.number[3:]) + 1 if last else 1:04d}"


def hold_shop() -> None:
    """Make whoever else wants a number or changes a rate wait for this transaction.

    Who needs an order too holds the shop first: taken the other way round by one of
    two, each would wait for the other.
    SQLite has one writer anyway; on PostgreSQL two could read the same last number.
    """
    Shop.objects.get_or_create(pk=1)
    Shop.objects.select_for_update().get(pk=1)


def hold_order(order: Order) -> None:
    """Bring an order's state up to date, and make whoever else changes it wait.

    Taken before any of its knives, so that two who move knives of one order never
    wait for each other; SQLite has one writer anyway.
    """
    rows = Order.objects.select_for_update().values_list("state", flat=True)
    order.state = rows.get(pk=order.pk)


def change_order(order: Order, values: Values) -> None:
    """Change an order's own fields; StaleError if somebody else has meanwhile."""
    for name, value in values.items():
        setattr(order, name, value)
    _save_versioned(order, list(values))
    _refold(order)


def _refold(order: Order) -> None:
    """Bring the column that is searched up to date."""
    names = order.knives.values_list("name", "serial")
    text = folded(
        order.number, order.customer.name, *(word for pair in names for word in pair)
    )
    Order.objects.filter(pk=order.pk).update(folded=text[:400])


def agree_on(order: Order, *, total: Decimal, deposit: Decimal) -> None:
    """Write down what a customer said yes to, tax included where there is one.

    StageError if the deposit is more than the total.
    """
    payments.check_deposit(total, deposit)
    Order.objects.filter(pk=order.pk).update(agreed=total, deposit_due=deposit)
    order.agreed, order.deposit_due = total, deposit


@transaction.atomic
def agree_late(order: Order, total: Decimal) -> None:
    """Agree on the sum of an order whose yes is older than payments kept here.

    No deposit of it is waited for. StageError if a sum is agreed on already.
    """
    hold_order(order)
    order.refresh_from_db(fields=["agreed"])
    if order.agreed is not None:
        raise StageError(
            _("Someone else has just agreed on a sum for order {number}; look at it "
              "again."),
            field="total", number=order.number,
        )  # fmt: skip
    agree_on(order, total=total, deposit=Decimal(0))


def change_state(order: Order, to: str) -> None:
    """Move an order to another state; StageError if it cannot go there."""
    stages.check_state(order.state, to)
    if not Order.objects.filter(pk=order.pk, state=order.state).update(
        state=to, version=F("version") + 1
    ):
        raise StageError(
            _("Someone else has just changed this order; look at it again.")
        )
    order.state = to


# --- knives ----------------------------------------------------------------------


@transaction.atomic
def add_knife(
    order: Order,
    values: Values,
    *,
    by: User | None,
    at: dt.datetime,
    replaces: Knife | None = None,
) -> Knife:
    """Add a knife to an order; PlanError if it cannot be made as specified.

    ``replaces`` is the scrapped one it is begun in the place of. Where only such a
    knife may be begun and none is named, it is the one that was lost first.
    """
    hold_shop()
    hold_order(order)
    _check_can_have_more(order)
    knife = Knife(order=order, **values)
    knife.replaces = _replaced(order, replaces)
    spec = spec_of(knife)
    result = weigh_knife(spec)
    last = Knife.objects.order_by("-pk").first()
    knife.serial = serials.serial(last.pk if last else 0)
    knife.mark = serials.scratch_mark(order.knives.values_list("mark", flat=True))
    knife.target = PlanTarget.objects.create(
        **target_values(str(knife), spec, result, knife.hardness)
    )
    knife.save()
    if order.state == "accepted":
        _write_event(knife, stages.STAGES[0].key, by=by, at=at)
    _refold(order)
    return knife


def _replaced(order: Order, named: Knife | None) -> Knife | None:
    """Return the scrapped knife a new one is begun for; StageError for one that is not.

    ``order`` is held, so that nobody else begins another for the same one.
    """
    if named is None:
        return again.begun_for(order) if order.agreed is not None else None
    lost = order.knives.filter(pk=named.pk, stage="scrapped").first()
    if lost is None or lost.again.exists():
        raise StageError(
            _("{name} is not waited for: it is not scrapped, or was begun again "
              "already. Open the order and look at its knives."),
            name=str(named),
        )  # fmt: skip
    return lost


def _check_can_have_more(order: Order) -> None:
    """Refuse a knife for a closed order, or one that nothing was agreed on for."""
    if order.state in stages.closed_states():
        raise StageError(
            _("Order {number} is closed; open a new enquiry for another knife."),
            number=order.number,
        )
    order.refresh_from_db(fields=["agreed"])
    if order.agreed is not None and not _owes_a_knife(order):
        raise StageError(
            _("The total of order {number} is agreed, and another knife would not be "
              "in it: open a new enquiry for it. Only a scrapped knife is made again "
              "in its order."),
            number=order.number,
        )  # fmt: skip


@transaction.atomic
def change_knife(knife: Knife, values: Values) -> Knife:
    """Change a knife's specification and with it what the bar must hold.

    PlanError if it cannot be made so; StaleError if somebody else saved it meanwhile.
    """
    if knife.stage in stages.closed():
        raise StageError(
            _("This knife has left the bench; what was made stays as it is written.")
        )
    for name, value in values.items():
        setattr(knife, name, value)
    spec = spec_of(knife)
    result = weigh_knife(spec)
    _save_versioned(knife, list(values))
    PlanTarget.objects.filter(pk=knife.target_id).update(
        **target_values(str(knife), spec, result, knife.hardness)
    )
    if knife.target.plan_id:
        Plan.objects.filter(pk=knife.target.plan_id).update(version=F("version") + 1)
    _refold(knife.order)
    return knife


@transaction.atomic
def edit_knife(knife: Knife, values: Values) -> Knife:
    """Change a knife by its own page, as ``change_knife`` does.

    StageError where its customer said yes to what would be altered: that takes a
    change the customer agrees to.
    """
    hold_order(knife.order)
    knife.order.refresh_from_db(fields=["agreed"])
    now = Knife.objects.get(pk=knife.pk)
    if is_bound(knife.order) and now.version == knife.version:
        altered = [name for name in values if _alters(now, name, values[name])]
        _check_not_agreed(knife.order, altered)
    return change_knife(knife, values)


def _alters(now: Knife, name: str, value: Any) -> bool:
    before = getattr(now, name)
    if isinstance(before, float) and isinstance(value, float):
        return not math.isclose(before, value, rel_tol=1e-9, abs_tol=1e-9)
    return (before or "") != (value or "")


def _check_not_agreed(order: Order, altered: Sequence[str]) -> None:
    agreed = [name for name in altered if name not in STAYS_FREE]
    if agreed:
        raise StageError(
            _("The customer of order {number} said yes to this as it was. Put it back "
              "here, and press Change after the yes: the customer agrees to it there."),
            field=agreed[0], number=order.number,
        )  # fmt: skip


@transaction.atomic
def assign_plan(knife: Knife, plan: Plan | None) -> None:
    """Say from which billet a knife is made; its mark then differs in that batch."""
    if knife.stage not in (stages.NOT_STARTED, stages.STAGES[0].key):
        raise StageError(
            _("This knife is past the forge; its billet stays as it is written."),
            field="plan",
        )
    PlanTarget.objects.filter(pk=knife.target_id).update(plan=plan)
    knife.target.plan = plan
    if plan is None:
        return
    others = Knife.objects.filter(target__plan=plan).exclude(pk=knife.pk)
    taken = set(others.values_list("mark", flat=True))
    if knife.mark in taken:
        knife.mark = serials.scratch_mark(taken)
        Knife.objects.filter(pk=knife.pk).update(mark=knife.mark)


# --- stages ----------------------------------------------------------------------


@transaction.atomic
def start_work(order: Order, *, by: User | None, at: dt.datetime) -> None:
    """Accept an order: its knives stand at the first stage from now on."""
    change_state(order, "accepted")
    for knife in order.knives.filter(stage=stages.NOT_STARTED):
        _write_event(knife, stages.STAGES[0].key, by=by, at=at)


@transaction.atomic
def move_knife(
    knife: Knife,
    to: str,
    *,
    gate_passed: bool,
    by: User | None,
    at: dt.datetime,
    reason: str = "",
) -> None:
    """Move a knife on and write it in its history; StageError if that cannot be.

    Leaving the way (scrapped, cancelled) needs a reason, and so does handing over a
    knife that is not paid. A scrapped knife closes nothing: its customer still waits
    for one.
    """
    stages.check_move(knife.stage, to, gate_passed=gate_passed)
    hold_order(knife.order)
    if to not in stages.EXITS and knife.order.state != "accepted":
        raise StageError(
            _(
                "Work begins when order {number} is accepted; "
                "get its quote accepted first."
            ),
            number=knife.order.number,
        )
    if to in stages.EXITS and not reason.strip():
        raise StageError(_("Say why the knife leaves the bench."), field="reason")
    if to == "cancelled":
        _check_settled_elsewhere(knife.order)
    if to == stages.STAGES[-1].key:
        _check_answered(knife)
    payments.check_move(knife, to, reason=reason)
    _write_event(knife, to, by=by, at=at, gate_passed=gate_passed, reason=reason)
    if to != "scrapped":
        _close_when_done(knife.order)


def _check_answered(knife: Knife) -> None:
    """Refuse to hand over a knife before it is known as what it was wanted."""
    if knife.changes.filter(state="open").exists():
        raise StageError(
            _("A change of {name} waits for the customer's yes or no: write it down "
              "first."),
            field="to", name=str(knife),
        )  # fmt: skip


def is_bound(order: Order) -> bool:
    """Say whether money was agreed on for the knives of an order, all in one sum."""
    return order.state == "accepted" and order.agreed is not None


def _check_settled_elsewhere(order: Order) -> None:
    """Refuse to cancel a knife by itself where money was agreed on for its order."""
    order.refresh_from_db(fields=["agreed"])
    if is_bound(order):
        raise StageError(
            _("What is kept and returned is settled with the order: press Cancel order "
              "on the page of order {number}. If other knives of it are still wanted, "
              "hand those over first."),
            field="to", number=order.number,
        )  # fmt: skip


@transaction.atomic
def correct_move(
    knife: Knife, to: str, *, reason: str, by: User | None, at: dt.datetime
) -> None:
    """Take a wrong move back, with a reason that stays in the history.

    StageError where the order was cancelled and its money settled: what was kept of it
    was told to the customer, and no knife alone takes that back.
    """
    hold_order(knife.order)
    if is_settled(knife.order):
        raise StageError(
            _("Order {number} was cancelled and its money settled, so its knives stay "
              "where they are. If the customer wants one after all, open a new "
              "enquiry."),
            number=knife.order.number,
        )  # fmt: skip
    last = knife.events.last()
    stages.check_correction(
        knife.stage, to, reason=reason, left=last.came_from if last else ""
    )
    _write_event(knife, to, by=by, at=at, correction=True, reason=reason)
    if knife.order.state in stages.closed_states():
        Order.objects.filter(pk=knife.order_id).update(
            state="accepted", version=F("version") + 1
        )


def is_settled(order: Order) -> bool:
    """Say whether an order was cancelled and what is kept of its money settled."""
    return cancellation(order) is not None


@transaction.atomic
def cancel_order(
    order: Order, *, reason: str, by: User | None, at: dt.datetime
) -> None:
    """Cancel an order with every knife of it that is not handed over.

    Where one was handed over, the order ends as delivered.
    """
    if not reason.strip():
        raise StageError(_("Say why the order is cancelled."), field="reason")
    hold_order(order)
    some = order.knives.filter(stage=stages.STAGES[-1].key).exists()
    change_state(order, "delivered" if some else "cancelled")
    for knife in order.knives.exclude(stage__in=stages.closed()):
        _write_event(knife, "cancelled", by=by, at=at, reason=reason)


def _write_event(
    knife: Knife, to: str, *, by: User | None, at: dt.datetime, **what: Any
) -> None:
    moved = Knife.objects.filter(pk=knife.pk, stage=knife.stage).update(stage=to)
    if not moved:
        raise StageError(_("Someone else has just moved this knife; look at it again."))
    StageEvent.objects.create(
        knife=knife, came_from=knife.stage, stage=to, by=by, at=at, **what
    )
    if (knife.stage, to) == (stages.NOT_STARTED, "cancelled"):
        # Nothing was forged for it: its billet need not hold it any more.
        PlanTarget.objects.filter(pk=knife.target_id).update(plan=None)
    knife.stage = to


def _close_when_done(order: Order) -> None:
    """Mark an order delivered with its last knife, unless one is still owed."""
    left = list(order.knives.values_list("stage", flat=True))
    done = all(stage in stages.closed() for stage in left)
    if order.state == "accepted" and done and not _owes_a_knife(order):
        delivered = stages.STAGES[-1].key in left
        change_state(order, "delivered" if delivered else "cancelled")


def _owes_a_knife(order: Order) -> bool:
    """Say whether more knives were scrapped than were begun again in their place."""
    begun = StageEvent.objects.filter(knife__order=order, came_from="")
    first = begun.order_by("pk").first()
    again = begun.filter(at__gt=first.at).count() if first else 0
    return order.knives.filter(stage="scrapped").count() > again


def _save_versioned(row: Any, names: Sequence[str]) -> None:
    """Write named fields if the row still has the version it was read with."""
    values = {name: getattr(row, name) for name in names}
    kept = type(row)._default_manager.filter(pk=row.pk, version=row.version)
    if not kept.update(**values, version=F("version") + 1):
        raise StaleError(type(row)._default_manager.get(pk=row.pk))
    row.version += 1
