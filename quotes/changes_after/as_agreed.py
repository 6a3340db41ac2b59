"""The knives of an accepted order as they are agreed now: columns and words.

What was agreed is what the quote kept, the option that was taken, and the changes a yes
was said to. What the shop alters of a knife by itself is no part of it.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from django.conf import settings
from django.utils import translation

from billets.figures import figures_of
from billets.messages import spoken
from billets.physics.errors import PlanError
from billets.physics.knife import weigh_knife
from billets.units import System
from quotes.basis import knife_basis
from quotes.changes_after.agreed import answer_of, begun_again
from quotes.models import QuoteAnswer
from quotes.offer.specification import specification_with, steel_sentence
from shop.models import Knife, Order
from shop.services import spec_of
from shop.usual import knife_name

COLUMNS = frozenset(one.name for one in Knife._meta.concrete_fields)
SYSTEMS: tuple[System, ...] = ("metric", "inch")


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedKnife:
    """A knife as it is agreed now.

    Attributes
    ----------
    knife : Knife
        With the columns agreed on; not to be saved.
    frozen, language
        What the accepted quote said of it, and in which language.
    altered : bool
        Whether an option or a change made it another than was quoted. One the quote
        does not know, begun in the place of a lost one, is as it is written.
    lost : AgreedKnife or None
        The one it was begun in the place of.
    """

    knife: Knife
    frozen: Mapping[str, str]
    language: str
    altered: bool
    lost: AgreedKnife | None = None


def agreed_knives(
    order: Order, answer: QuoteAnswer | None = None
) -> dict[str, AgreedKnife]:
    """Return the knives of an order as they are agreed now, by serial.

    ``answer`` is the yes the order was accepted with, where it is at hand.
    """
    answer = answer or answer_of(order)
    basis: Mapping[str, Any] = answer.quote.basis if answer else {}
    quoted = {one["serial"]: one for one in basis.get("knives", ())}
    words: Mapping[str, Any] = basis.get("words", {})
    more = _agreed_since(order, answer)
    found = {}
    for one in order.knives.all():
        own, since = quoted.get(one.serial, {}), more.get(one.serial, {})
        now, altered = _agreed(one, own, since)
        found[one.serial] = AgreedKnife(
            knife=now, altered=altered, language=words.get("language", ""),
            frozen=words.get("knives", {}).get(one.serial, {}),
        )  # fmt: skip
    return _with_lost(order, found)


def _with_lost(order: Order, found: dict[str, AgreedKnife]) -> dict[str, AgreedKnife]:
    """Put beside each knife begun again the one it was begun in the place of."""
    if not any(one.knife.stage == "scrapped" for one in found.values()):
        return found
    for lost, later in begun_again(order).items():
        if lost != later and lost in found and later in found:
            found[later] = replace(found[later], lost=found[lost])
    return found


def _agreed_since(
    order: Order, answer: QuoteAnswer | None
) -> dict[str, dict[str, Any]]:
    """Return by knife the columns that option and agreed changes gave, the last one."""
    found: dict[str, dict[str, Any]] = {}
    if answer and answer.option:
        found[answer.option.serial] = dict(answer.option.values)
    serials = {one.pk: one.serial for one in order.knives.all()}
    said = [one for one in order.changes.all() if one.state == "agreed"]
    for one in sorted(said, key=lambda row: row.answered_at or row.made_at):
        if one.knife_id is not None:
            own = found.setdefault(serials[one.knife_id], {})
            own.update(one.values.get("columns", {}))
    return found


def _agreed(
    knife: Knife, quoted: Mapping[str, Any], more: Mapping[str, Any]
) -> tuple[Knife, bool]:
    """Return a knife as quoted with what was agreed since, and whether that alters it.

    One the quote kept nothing of is as it is written.
    """
    if not quoted.get("spec"):
        return knife, bool(more)
    named = {name: quoted[name] for name in ("name", "hardness", "finish")
             if name in quoted}  # fmt: skip
    before = _with(knife, {**quoted["spec"], **named})
    now = _named(before, _with(before, more))
    return now, knife_basis(now) != knife_basis(before)


def _named(before: Knife, now: Knife) -> Knife:
    """Let a name made of family and length follow them, if nobody gave another."""
    if now.name != before.name or (now.family, now.length) == (
        before.family, before.length
    ):  # fmt: skip
        return now
    for language, system in product(dict(settings.LANGUAGES), SYSTEMS):
        with translation.override(language):
            if knife_name(before.family, before.length, system) == before.name:
                return _with(now, {"name": knife_name(now.family, now.length, system)})
    return now


def _with(knife: Knife, values: Mapping[str, Any]) -> Knife:
    """Return a knife with other columns; what it has no column for is left out."""
    other = copy.copy(knife)
    for name in set(values) & COLUMNS:
        empty = name == "ferrule" and values[name] is None
        setattr(other, name, "" if empty else values[name])
    return other


# --- in words ---------------------------------------------------------------------


def words_of(one: AgreedKnife, system: System) -> dict[str, str]:
    """Return the specification of a knife as it is agreed now.

    The keys are those of ``LABELS``, the language is the one spoken. A knife that is
    as it was quoted keeps the words of the quote, whatever was learned since; one that
    was altered, or begun in the place of a lost one, is said anew.
    """
    if one.frozen and not one.altered:
        return dict(one.frozen)
    said = _said_anew(one, system)
    if one.lost is None:
        return said
    # What nobody has written of the new knife yet was agreed on with the lost one.
    known = {key: text for key, text in said.items() if text}
    return {**said, **words_of(one.lost, system), **known}


def _said_anew(one: AgreedKnife, system: System) -> dict[str, str]:
    try:
        result = weigh_knife(spec_of(one.knife))
        return specification_with(_steel(one), one.knife, result, system)
    except PlanError:
        return dict(one.frozen)  # its own page says what cannot be made of it


def _steel(one: AgreedKnife) -> str:
    """Say what a blade is made of: as it was said, or else by its billet.

    No change after the yes alters the billet, and what became of it at the bench since
    was not agreed on.
    """
    if one.language == spoken() and one.frozen.get("steel"):
        return one.frozen["steel"]
    plan = one.knife.target.plan
    return steel_sentence(figures_of(plan)) if plan else ""
