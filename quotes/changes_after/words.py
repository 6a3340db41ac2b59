"""A change after the yes in words: what can still be had, what it comes to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from billets.messages import sentence
from billets.units import System
from billets.verdicts import verdict_saying
from billets.wording import Saying, flag_sayings, origin
from quotes.changes_after.figured import Figured
from quotes.changes_after.possible import standings
from quotes.offer.specification import LABELS, specification
from quotes.wording import learned_sentence, long_day, money_text, percent_text
from shop import stages
from shop.models import AgreedChange, Knife
from shop.services import spec_of
from shop.weeks import in_words

LEVELS = {"note": "ok", "amber": "warn", "red": "stop"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A label and what stands beside it; ``main`` is the sum of those above."""

    label: str
    text: str
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that becomes another."""

    label: str
    before: str
    now: str


# --- what is possible --------------------------------------------------------------


def standing_sayings(knife: Knife, system: System) -> list[Saying]:
    """Return what can still be changed of a knife, part by part."""
    return [
        Saying(
            level=LEVELS[one.flag.level],
            first=_(one.part.label),
            rest=sentence(one.flag, system),
        )
        for one in standings(knife.stage, spec_of(knife))
    ]


def gates_sentence(passed: Iterable[Mapping[str, str]]) -> str:
    """Say which gates a knife has passed, and when."""
    told = [_gate(one) for one in passed]
    if not told:
        return _("It has passed no gate yet.")
    return _("Gates passed: {gates}.").format(gates="; ".join(told))


def _gate(one: Mapping[str, str]) -> str:
    label = _(stages.label_of(one["stage"]))
    if not one["day"]:
        return label
    return f"{label}, {long_day(dt.date.fromisoformat(one['day']))}"


# --- what it comes to --------------------------------------------------------------


def told_of(figured: Figured, language: str, system: System) -> list[list[str]]:
    """Return what becomes different as the customer reads it, to be kept."""
    with translation.override(language):
        before = specification(figured.before, system)
        now = specification(figured.after, system)
        return [
            [str(label), before.get(key) or "–", now.get(key) or "–"]
            for key, label in LABELS.items()
            if (before.get(key) or "") != (now.get(key) or "")
        ]


def told_rows(told: Iterable[Iterable[str]]) -> list[Told]:
    """Return what was kept of differences."""
    return [
        Told(label=label, before=before, now=now)
        for label, before, now in map(tuple, told)
    ]


def money_rows(
    agreed: Decimal, more: Decimal, fee: Decimal, currency: str
) -> list[Row]:
    """Return what was agreed, what comes to it, and what is to be paid in all."""
    rows = [
        (_("Agreed until now"), agreed), (_("For what is changed"), more),
        (_("Fee for the change"), fee),
    ]  # fmt: skip
    shown = [Row(label=label, text=money_text(one, currency)) for label, one in rows]
    whole = money_text(agreed + more + fee, currency)
    return [*shown, Row(label=_("To be paid in all"), text=whole, main=True)]


def sums_left(change: AgreedChange, currency: str) -> list[Row]:
    """Return the sums of a change of which an erasure took the words."""
    rows = [
        (_("For what is changed"), change.more), (_("Fee for the change"), change.fee)
    ]  # fmt: skip
    return [Row(label=label, text=money_text(one, currency)) for label, one in rows]


def back_sentence(total: Decimal, paid: Decimal, currency: str) -> str:
    """Tell the owner that a change leaves less to pay than was paid; else nothing."""
    said = _("{paid} was paid already: with this change {back} goes back to the "
             "customer.")  # fmt: skip
    return _back(said, total, paid, currency)


def back_to_you(total: Decimal, paid: Decimal, currency: str) -> str:
    """Tell the customer the same."""
    said = _("You have paid {paid} already: with this change {back} goes back to you.")
    return _back(said, total, paid, currency)


def _back(said: str, total: Decimal, paid: Decimal, currency: str) -> str:
    if paid <= total:
        return ""
    return said.format(
        paid=money_text(paid, currency), back=money_text(paid - total, currency)
    )


def week_rows(before: dt.date | None, new: dt.date | None) -> list[Row]:
    """Return the week that was promised and the one that would be."""
    nothing = _("nothing promised")
    rows = [Row(label=_("Promised until now"), text=_week(before) or nothing)]
    stays = _("stays as it is")
    return [*rows, Row(label=_("Promised with the change"), text=_week(new) or stays)]


def _week(monday: dt.date | None) -> str:
    return in_words(monday) if monday else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiguredWords:
    """What a change comes to, as its page says it."""

    told: list[Told]
    money: list[Row]
    back: str
    weeks: list[Row]
    origin: list[str]
    billet: Saying | None
    billet_origin: str
    billet_url: str
    sayings: list[Saying]


def figured_words(figured: Figured, language: str, system: System) -> FiguredWords:
    """Return all a page says of a change, its differences in the language given."""
    billet = figured.billet
    return FiguredWords(
        told=told_rows(told_of(figured, language, system)),
        money=money_rows(figured.agreed, figured.more, figured.fee, figured.currency),
        back=back_sentence(figured.total, figured.paid, figured.currency),
        weeks=week_rows(figured.knife.order.promised_week, figured.wish.new_week),
        origin=[*_origin(figured), *_week_note(figured)],
        billet=verdict_saying(billet, system) if billet else None,
        billet_origin=origin(billet.beliefs) if billet else "",
        billet_url=_billet_url(figured),
        sayings=flag_sayings(figured.flags, system),
    )


def _billet_url(figured: Figured) -> str:
    plan = figured.knife.target.plan
    return str(plan.get_absolute_url()) if plan else ""


def _origin(figured: Figured) -> list[str]:
    """Say where the numbers come from, and what is not in them."""
    currency = figured.currency
    said = [
        _(
            "The work: this order priced with the knife as it is and as it would be, "
            "both with the rates in force on {day}; the billet stays as it is planned. "
            "It comes to {more}, tax included."
        ).format(
            day=long_day(figured.priced.day),
            more=money_text(figured.reckoned_more, currency),
        ),
        _(
            "The fee: {percent} of {part}, the agreed price of what is changed "
            "({parts}), by its share of attended hours; once the steel is cut only "
            "work that is begun counts. By the ladder it comes to {fee}."
        ).format(
            percent=percent_text(figured.percent),
            part=money_text(figured.part, currency),
            parts="; ".join(_(one.label) for one in figured.parts),
            fee=money_text(figured.reckoned_fee, currency),
        ),
        learned_sentence(figured.priced.lines.hours),
    ]
    if figured.more != figured.reckoned_more or figured.fee != figured.reckoned_fee:
        said.append(_("You ask for other amounts than were reckoned."))
    return said


def _week_note(figured: Figured) -> list[str]:
    new, before = figured.wish.new_week, figured.knife.order.promised_week
    if new and before and new < before:
        return [_("The new week is before the one promised: is that meant?")]
    return []


# --- as it was kept ----------------------------------------------------------------


def kept_rows(change: AgreedChange) -> dict[str, Any]:
    """Return what a page shows of a change, from what was kept of it."""
    kept = change.values
    before = kept.get("week_before")
    return {
        "told": told_rows(kept["told"]),
        "money": money_rows(
            Decimal(kept["agreed"]), change.more, change.fee, kept["currency"]
        ),
        "weeks": week_rows(
            dt.date.fromisoformat(before) if before else None, change.new_week
        ),
        "gates": gates_sentence(change.passed),
        "rates_on": dt.date.fromisoformat(kept["rates_on"]),
        "reckoned": money_text(Decimal(kept["reckoned_more"]), kept["currency"]),
        "percent": percent_text(Decimal(kept["percent"])),
        "part": money_text(Decimal(kept["part"]), kept["currency"]),
    }
