"""What a quote says differently from the revision before it, sentence by sentence.

Told in the customer's language, from what the earlier quote kept of itself. Where that
was said in another language or in other units, what stands now is put in those words
first, so that only what really changed is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from babel.lists import format_list
from django.utils import timezone
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import System, locale_of
from quotes.models import Quote
from quotes.offer.frozen import Offer, OfferLine, OfferOption, kept_offer
from quotes.offer.specification import FOLLOWS, LABELS
from quotes.wording import long_day, money_text, percent_text

KnifeWords = Mapping[str, Mapping[str, str]]
"""What is said of each knife, by its serial and the keys of ``LABELS``."""

Speak = Callable[[str, System], KnifeWords]
"""Says the knives as they are now in a language and in units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a quote said of its knives, and how."""

    language: str
    units: System
    knives: KnifeWords
    lines: tuple[str, ...] = ()

    def kept(self) -> dict[str, Any]:
        """Return it as it is kept beside the quote's basis."""
        return {
            "language": self.language, "units": self.units,
            "knives": self.knives, "lines": list(self.lines),
        }  # fmt: skip


def changes_since(before: Quote, now: Offer, speak: Speak) -> tuple[str, ...]:
    """Return what is different from an earlier quote."""
    old, told = kept_offer(before), _told(now.words)
    earlier = _told_before(before, old, told)
    found = [
        *_kind(old, now),
        *_reading(old, now),
        *_total(old, now),
        *_deposit(old, now),
        *_holds(old, now),
        *_tax(_pairs(old, earlier.lines, now, told.lines)),
        *_knives(earlier, told, now, speak),
        *_lines(old, earlier.lines, now, told.lines),
        *_options(old, now, same=_same(earlier, told)),
    ]
    return tuple(found) or (_("Nothing but the dates."),)


def _told(kept: Mapping[str, Any]) -> Told:
    return Told(
        language=kept["language"], units=kept["units"], knives=kept["knives"],
        lines=_keys(kept),
    )  # fmt: skip


def _keys(kept: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(kept.get("lines", ()))


def _told_before(before: Quote, old: Offer, now: Told) -> Told:
    """Return what an earlier quote said of its knives.

    One issued before that was kept apart is read from its lines.
    """
    if kept := before.basis.get("words"):
        return _told(kept)
    keys = {str(label): key for key, label in LABELS.items()}
    serials = [one["serial"] for one in before.basis.get("knives", ())]
    knives = {
        serial: dict(_read(line.detail, keys))
        for serial, line in zip(serials, old.lines, strict=False)
    }
    return Told(language=now.language, units=now.units, knives=knives)


def _read(detail: str, keys: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield each row by its key; a label may hold a colon of its own."""
    for row in detail.splitlines():
        for label, key in keys.items():
            if row.startswith(f"{label}: "):
                yield key, row.removeprefix(f"{label}: ")


# --- of the whole ------------------------------------------------------------------


def _kind(old: Offer, now: Offer) -> Iterator[str]:
    if old.kind != now.kind:
        yield (
            _("An estimate now, no longer a fixed price.")
            if now.kind == "estimate"
            else _("A fixed price now, no longer an estimate.")
        )


def _reading(old: Offer, now: Offer) -> Iterator[str]:
    if old.mode != now.mode:
        yield (
            _("Prices are now read before tax.")
            if now.mode == "net"
            else _("Prices are now read with tax in them.")
        )


def _total(old: Offer, now: Offer) -> Iterator[str]:
    """Tell the total as it is read; with tax where that has changed."""
    same = old.mode == now.mode
    was, is_now = (old.read, now.read) if same else (old.total, now.total)
    pair = _pair(money_text(was, old.currency), money_text(is_now, now.currency))
    if pair["before"] != pair["now"]:
        yield _("Total from {before} to {now}.").format(**pair)


def _deposit(old: Offer, now: Offer) -> Iterator[str]:
    pair = _pair(
        money_text(old.deposit, old.currency), money_text(now.deposit, now.currency)
    )
    if pair["before"] != pair["now"]:
        yield _("Deposit from {before} to {now}.").format(**pair)


def _holds(old: Offer, now: Offer) -> Iterator[str]:
    """Tell another last day, unless it is as many days after a later issue."""
    days = [one.valid_until - timezone.localdate(one.issued_at) for one in (old, now)]
    if old.valid_until != now.valid_until and days[0] != days[1]:
        yield _("It holds until {now}, no longer until {before}.").format(
            **_pair(long_day(old.valid_until), long_day(now.valid_until))
        )


Rates = tuple[Decimal, Decimal]
"""Per cent of tax before and now."""


def _pairs(
    old: Offer, old_keys: tuple[str, ...], now: Offer, now_keys: tuple[str, ...]
) -> dict[Rates, list[str]]:
    """Return what is taxed otherwise now, by its rates; the knives first."""
    found: dict[Rates, list[str]] = {}
    if old.tax_rate != now.tax_rate:
        found[old.tax_rate, now.tax_rate] = [_("the knives")]
    before = _beside(old, old_keys)
    for place, line in _beside(now, now_keys if old_keys else ()).items():
        was, is_now = before.get(place, line).percent, line.percent
        if line.kind == "discount" or was is None or is_now is None:
            continue
        if was != is_now:
            found.setdefault((was, is_now), []).append(line.label)
    return found


def _tax(pairs: Mapping[Rates, list[str]]) -> Iterator[str]:
    for rates, names in pairs.items():
        yield _("Tax on {what} from {before} to {now}.").format(
            what=format_list(names, locale=locale_of(spoken())),
            **_pair(*map(percent_text, rates)),
        )


def _pair(before: str, now: str) -> dict[str, str]:
    return {"before": before, "now": now}


# --- of the knives -----------------------------------------------------------------


def _knives(old: Told, now: Told, offer: Offer, speak: Speak) -> Iterator[str]:
    names = _names(offer)
    for serial in old.knives.keys() - now.knives.keys():
        yield _("Knife {serial} is no longer part of it.").format(serial=serial)
    same = _same(old, now)
    then = now.knives if same else speak(old.language, old.units)
    for serial, words in now.knives.items():
        if serial not in old.knives:
            yield _("{knife} is new.").format(knife=names[serial])
        elif old.knives[serial]:
            for key in _differing(old.knives[serial], then[serial]):
                yield _difference(
                    key, names[serial], words,
                    old.knives[serial] if same else None,
                )  # fmt: skip


def _same(old: Told, now: Told) -> bool:
    """Say whether both were told in one language and in one kind of units."""
    return (old.language, old.units) == (now.language, now.units)


def _names(offer: Offer) -> dict[str, str]:
    """Return what each knife is called, with its number where two are called so."""
    knives = [one for one in offer.lines if one.kind == "knife"]
    often = Counter(one.label for one in knives)
    return {
        one.serial: one.label if often[one.label] == 1 else f"{one.label}, {one.serial}"
        for one in knives
    }


def _differing(old: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    """Return what differs; what only follows, if nothing it follows from does."""
    found = [key for key in LABELS if old.get(key, "") != now.get(key, "")]
    return [key for key in found if FOLLOWS.get(key, frozenset()).isdisjoint(found)]


def _difference(
    key: str, knife: str, now: Mapping[str, str], old: Mapping[str, str] | None
) -> str:
    """Tell one difference; what was said in another language is not said again."""
    said = {"what": str(LABELS[key]), "knife": knife, "now": now.get(key) or "–"}
    if old is None:
        return _("{what} of {knife}: now {now}.").format(**said)
    return _("{what} of {knife}: from {before} to {now}.").format(
        **said, before=old.get(key) or "–"
    )


# --- of the other lines ------------------------------------------------------------


def _lines(
    old: Offer, old_keys: tuple[str, ...], now: Offer, now_keys: tuple[str, ...]
) -> Iterator[str]:
    before = _beside(old, old_keys)
    here = _beside(now, now_keys if old_keys else ())
    for place, line in before.items():
        if place not in here:
            yield _("No longer part of it: {what}.").format(what=line.label)
    for place, line in here.items():
        amount = money_text(line.amount, now.currency)
        if place not in before:
            yield _("New: {what}, {amount}.").format(what=line.label, amount=amount)
            continue
        was = money_text(before[place].amount, old.currency)
        if old.mode == now.mode and was != amount:
            yield _("{what}: from {before} to {now}.").format(
                what=line.label, **_pair(was, amount)
            )


def _beside(
    offer: Offer, keys: tuple[str, ...]
) -> dict[tuple[str, str, int], OfferLine]:
    """Return what is charged beside knives, each known by its key, not its words."""
    seen: Counter[tuple[str, str]] = Counter()
    found: dict[tuple[str, str, int], OfferLine] = {}
    for place, line in enumerate(offer.lines):
        if line.kind == "knife":
            continue
        key = keys[place] if place < len(keys) else line.label
        seen[line.kind, key] += 1
        found[line.kind, key, seen[line.kind, key]] = line
    return found


def _options(old: Offer, now: Offer, *, same: bool) -> Iterator[str]:
    """Tell options apart by their names; the first is as the lines say."""
    before = {one.label: one for one in old.options[1:]}
    here = {one.label: one for one in now.options[1:]}
    for label in before:
        if label not in here:
            yield _("No longer to choose: {option}.").format(option=label)
    for label, one in here.items():
        if label not in before:
            yield _("New to choose: {option}, {amount}.").format(
                option=label, amount=money_text(one.amount, now.currency)
            )
        elif same and one.detail and dict(before[label].values) != dict(one.values):
            yield _("{option}: now {detail}.").format(option=label, detail=one.detail)
    yield from _option_prices(
        {label: (before[label], here[label]) for label in here if label in before},
        old, now,
    )  # fmt: skip


def _option_prices(
    both: Mapping[str, tuple[OfferOption, OfferOption]], old: Offer, now: Offer
) -> Iterator[str]:
    """Tell all options that cost more or less now, in one sentence."""
    moved = []
    for label, pair in both.items():
        amounts = [
            money_text(one.amount if old.mode == now.mode else one.total, currency)
            for one, currency in zip(pair, (old.currency, now.currency), strict=True)
        ]
        if amounts[0] != amounts[1]:
            moved.append(
                _("{option} from {before} to {now}").format(
                    option=label, **_pair(*amounts)
                )
            )
    if moved:
        yield _("Options: {options}.").format(options="; ".join(moved))
