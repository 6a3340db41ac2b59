"""What an order bills, amount by amount: lines of the quote, then what was changed.

Words are put to them later, in ``quotes.invoices.said``; so an amount can be reckoned
without laying out a knife.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from quotes.models import Quote
from quotes.money import ZERO, from_gross, money, tax_sums, total
from quotes.offer.frozen import Offer, OfferLine
from quotes.sums import Amount, Mode, share_out
from shop.models import AgreedChange

KINDS: Mapping[str, Literal["line", "allowance", "charge"]] = {
    "knife": "line", "extra": "line", "charge": "charge", "discount": "allowance",
}  # fmt: skip
"""Kinds of a quote's lines as kinds of an invoice's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One amount that is billed, and the line or the change it comes from."""

    amount: Amount
    line: OfferLine | None = None
    change: AgreedChange | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How amounts are read: which way, the usual rate of tax [%], the currency."""

    mode: Mode
    percent: Decimal
    currency: str


def reading_of(offer: Offer) -> Reading:
    """Return how an offer is read; one without both sides goes by its net total."""
    mode = offer.mode if _two_sided(offer) else "net"
    return Reading(mode=mode, percent=offer.tax_rate, currency=offer.currency)


def _two_sided(offer: Offer) -> bool:
    return all(one.percent is not None for one in offer.lines)


# --- what was quoted --------------------------------------------------------------


def quoted_entries(
    quote: Quote, offer: Offer, cancelled: frozenset[str]
) -> list[Entry]:  # fmt: skip
    """Return the lines of a quote, with the option that was taken.

    What an option costs more or less is its knife's. Of a discount on the knives the
    share of knives that were cancelled falls away with them.
    """
    pairs = list(zip(offer.lines, _reads(quote, offer), strict=True))
    left = [pair for pair in pairs if pair[0].serial not in cancelled]
    if all(line.kind != "knife" for line, _read in left):
        return []
    share = _of_knives(left) / (_of_knives(pairs) or Decimal(1))
    return [
        _entry(line, read * share if line.kind == "discount" else read, offer)
        for line, read in left
    ]


def _of_knives(pairs: Iterable[tuple[OfferLine, Decimal]]) -> Decimal:
    return total(read for line, read in pairs if line.kind == "knife")


def _reads(quote: Quote, offer: Offer) -> list[Decimal]:
    """Return the lines' amounts as they are read, the option's in its knife's."""
    reads = [one.amount for one in offer.lines]
    if not _two_sided(offer):
        return share_out(reads, offer.net, offer.currency)
    option = quote.answer.option
    if option is not None:
        serials = [one.serial for one in offer.lines]
        place = serials.index(option.serial)
        reads[place] += option.amount - offer.read
    return reads


def _entry(line: OfferLine, read: Decimal, offer: Offer) -> Entry:
    percent = offer.tax_rate if line.percent is None else line.percent
    amount = Amount(
        kind=KINDS[line.kind], amount=money(abs(read), offer.currency), percent=percent
    )
    return Entry(amount=amount, line=line)


# --- what was changed since -------------------------------------------------------


def with_changes(
    entries: Sequence[Entry], changes: Sequence[AgreedChange],
    cancelled: frozenset[str], reading: Reading,
) -> list[Entry]:  # fmt: skip
    """Return what is billed with what was agreed after the yes, read like the quote.

    A cancellation says what is kept in all: its amount is whatever is left to that,
    and changes before it of knives not made any more are in it. Elsewhere only the fee
    is left of those.
    """
    found = list(entries)
    last = next((one for one in reversed(changes) if one.knife is None), None)
    after = last is None
    for one in changes:
        if one == last:
            after, read = True, _to_whole(found, one.fee, reading)
        elif one.knife is None:
            continue
        elif one.knife.serial not in cancelled:
            read = _added(found, one.more + one.fee, reading)
        else:
            read = _added(found, one.fee, reading) if after else ZERO
        if read:
            found.append(_change(one, read, reading))
    return found


def _change(one: AgreedChange, read: Decimal, reading: Reading) -> Entry:
    amount = Amount(
        kind="line" if read > 0 else "allowance", amount=abs(read),
        percent=reading.percent,
    )  # fmt: skip
    return Entry(amount=amount, change=one)


def _added(entries: Iterable[Entry], gross: Decimal, reading: Reading) -> Decimal:
    """Return what an amount reads with which all comes to so much more."""
    return _to_whole(entries, _gross_of(entries, reading)[0] + gross, reading)


def _to_whole(entries: Iterable[Entry], gross: Decimal, reading: Reading) -> Decimal:
    """Return what an amount reads with which all comes to a total, tax included.

    Before tax not every total can be met to the cent; then it is the nearest.
    """
    now, read, other = _gross_of(entries, reading)
    gross = money(gross, reading.currency)
    if reading.mode == "gross":
        return gross - now
    return from_gross(gross - other, reading.percent, reading.currency).net - read


def _gross_of(
    entries: Iterable[Entry], reading: Reading
) -> tuple[Decimal, Decimal, Decimal]:
    """Return what all comes to, what the usual rate's reads, the rest's gross.

    Read with tax in them, amounts of all rates are added up alike.
    """
    reads = [(_signed(one.amount), one.amount.percent) for one in entries]
    if reading.mode == "gross":
        whole = total(read for read, _percent in reads)
        return whole, whole, ZERO
    rates = tax_sums(reads, reading.currency)
    own = total(one.base for one in rates if one.percent == reading.percent)
    other = total(one.base + one.tax for one in rates if one.percent != reading.percent)
    return total(one.base + one.tax for one in rates), own, other


def _signed(one: Amount) -> Decimal:
    return -one.amount if one.kind == "allowance" else one.amount
