"""A change after the yes that waits for its customer: what is shown, and the answer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.urls import reverse
from django.utils.translation import gettext as _

from quotes.changes_after.saving import answer_change
from quotes.changes_after.words import Told, back_to_you, told_rows
from quotes.models import Paper
from quotes.private import tokens
from quotes.private.case import Case
from quotes.private.standing import DONE, HASH, hold_link
from quotes.wording import money_text
from shop import payments, stages
from shop.models import AgreedChange, CustomerLink, Order
from shop.services import hold_order
from shop.weeks import in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class PendingShown:
    """A change that waits for a yes or a no.

    Attributes
    ----------
    key : int
        Which one it is.
    sha256 : str
        Of its note: an answer binds to it.
    name : str
        Of the knife.
    wish : str
        What was wished for.
    told : tuple of Told
        What becomes different.
    facts : tuple of (label, text)
        What it costs more or less, the new total, the week.
    back : str
        What goes back to the customer; empty where nothing does.
    note : str
        The address of its note.
    """

    key: int
    sha256: str
    name: str
    wish: str
    told: tuple[Told, ...]
    facts: tuple[tuple[str, str], ...]
    back: str
    note: str


# --- what is shown ------------------------------------------------------------------


def pending_shown(case: Case) -> tuple[PendingShown, ...]:
    """Return the changes that wait for an answer, each with the note it binds to."""
    if case.state != "accepted":
        return ()
    waiting = [one for one in case.order.changes.all() if _waits(one)]
    notes = _notes(case.order, waiting)
    return tuple(
        _shown(case, one, notes[one.values["paper"]])
        for one in waiting
        if one.values.get("paper") in notes
    )


def _waits(change: AgreedChange) -> bool:
    if change.state != "open" or change.knife is None:
        return False
    return change.knife.stage not in stages.closed()


def _notes(order: Order, changes: Iterable[AgreedChange]) -> dict[int, Paper]:
    keys = [one.values.get("paper") for one in changes]
    if not keys:
        return {}
    known = Paper.objects.filter(order=order, kind="change", pk__in=keys)
    return {one.pk: one for one in known}


def _shown(case: Case, change: AgreedChange, paper: Paper) -> PendingShown:
    whole = (case.order.agreed or payments.ZERO) + change.more + change.fee
    currency = case.quote.currency
    return PendingShown(
        key=change.pk,
        sha256=paper.sha256,
        name=change.knife.name if change.knife else "",
        wish=change.wish,
        told=tuple(told_rows(change.values.get("told", ()))),
        facts=(*_costs(change, currency),
               (_("To be paid in all then"), money_text(whole, currency)),
               (_("Promised then"), _week(case.order, change))),
        back=back_to_you(whole, payments.received(case.order), currency),
        note=reverse("private-paper", args=["change", paper.revision]),
    )  # fmt: skip


def _costs(change: AgreedChange, currency: str) -> tuple[tuple[str, str], ...]:
    more = change.more + change.fee
    if more < 0:
        return ((_("It costs less by"), money_text(-more, currency)),)
    rows: list[tuple[str, Decimal]] = [(_("It costs more by"), more)]
    if change.fee:
        rows.append((_("of it the fee for the change"), change.fee))
    return tuple((label, money_text(one, currency)) for label, one in rows)


def _week(order: Order, change: AgreedChange) -> str:
    if change.new_week:
        return in_words(change.new_week)
    if order.promised_week:
        return _("{week}, as before").format(week=in_words(order.promised_week))
    return _("not promised yet; ask the shop")


# --- the answer ---------------------------------------------------------------------


def change_meant(order: Order, key: int | None, sha256: str) -> AgreedChange | None:
    """Return the change of an order whose note a page was made from."""
    if key is None or not HASH.fullmatch(sha256):
        return None
    rows = AgreedChange.objects.select_related("order", "knife")
    change = rows.filter(order=order, pk=key, knife__isnull=False).first()
    if change is None:
        return None
    notes = Paper.objects.filter(order=order, kind="change", sha256=sha256)
    return change if notes.filter(pk=change.values.get("paper")).exists() else None


def refusal(change: AgreedChange | None, *, accepted: bool) -> str:
    """Return why an answer cannot be taken, by the key of its page; empty if it can."""
    if change is None:
        return "other_change"
    now = AgreedChange.objects.select_related("order").get(pk=change.pk)
    if now.state != "open":
        return _after_an_answer(now, accepted=accepted)
    return "" if now.order.state == "accepted" else "closed"


def _after_an_answer(change: AgreedChange, *, accepted: bool) -> str:
    if (change.state == "agreed") == accepted:
        return DONE
    if change.order.state != "accepted":
        return "closed"
    newer = AgreedChange.objects.filter(knife=change.knife_id, pk__gt=change.pk)
    return "change_replaced" if newer.exists() else "change_answered"


@transaction.atomic
def take_change(
    link: CustomerLink, change: AgreedChange, *, accepted: bool, how: str,
    at: dt.datetime,
) -> None:  # fmt: skip
    """Write an answer down; a Refusal or LinkEndedError leaves nothing behind."""
    hold_order(change.order)
    hold_link(link)
    answer_change(change, accepted=accepted, how=how, at=at)
    tokens.touch(link, at)
