"""A price as an offer to a customer: the amounts, and the words that go with them."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import cast

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import System
from quotes import texts
from quotes.basis import plain
from quotes.extra_items import EXTRAS
from quotes.models import QuoteDraft
from quotes.money import HUNDRED, Taxed, money
from quotes.offer.changes import KnifeWords, Told, changes_since
from quotes.offer.frozen import LineKind, Offer, OfferLine, OfferOption
from quotes.offer.specification import (
    FOLLOWS,
    LABELS,
    Specified,
    spec_sentences,
    specification,
)
from quotes.price import Price
from quotes.pricing import PricedOrder, plan_of
from quotes.rates import REGIMES
from quotes.sums import Shown
from quotes.terms.offering import Choice, Item, Offered, draft_of
from quotes.wording import long_day, money_text, percent_text
from shop import weeks
from shop.models import Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """When a quote is issued, and how long it holds."""

    issued_at: dt.datetime
    valid_until: dt.date


def specified(priced: PricedOrder) -> list[Specified]:
    """Return the knives of an order, each with its billet."""
    return [
        Specified(knife=knife, result=result, figures=priced.plans[plan_of(knife).pk])
        for knife, result in priced.knives
    ]


def spec_words(priced: PricedOrder, language: str, system: System) -> KnifeWords:
    """Return what is promised of each knife, by its serial, in a language."""
    with translation.override(language):
        return {
            one.knife.serial: specification(one, system) for one in specified(priced)
        }


def offer_of(
    priced: PricedOrder, offered: Offered, revision: int, dates: Dates, system: System
) -> Offer:
    """Return the offer of a price, in the language that is spoken."""
    told = Told(
        language=spoken(),
        units=system,
        knives=spec_words(priced, spoken(), system),
        lines=tuple(f"{one.key}:{one.label}" for one in offered.items),
    )
    offer = Offer(
        revision=revision,
        issued_at=dates.issued_at,
        valid_until=dates.valid_until,
        kind=offered.kind,
        mode=offered.mode,
        regime=offered.regime,
        currency=offered.currency,
        net=offered.sums.net,
        tax_rate=tax_percent(priced.lines.price),
        tax=offered.sums.tax,
        total=offered.sums.gross,
        taxes=offered.sums.taxes,
        deposit=offered.deposit.gross,
        lines=_lines(priced, offered, told.knives),
        options=tuple(
            _option(priced, one, told.knives, system) for one in offered.choices
        ),
        words=told.kept(),
    )
    before = priced.order.quotes.filter(revision=revision - 1).first()
    if before is None:
        return offer
    changes = changes_since(before, offer, lambda *how: spec_words(priced, *how))
    return replace(offer, changes=changes)


def tax_percent(price: Price) -> Decimal:
    """Return the rate of tax of the knives; all of them are taxed at the same one."""
    return price.taxes[0].percent


# --- lines and options ------------------------------------------------------------


def _lines(
    priced: PricedOrder, offered: Offered, words: KnifeWords
) -> tuple[OfferLine, ...]:
    draft = draft_of(priced.order)
    return tuple(
        _line(item, shown, words, draft)
        for item, shown in zip(offered.items, offered.sums.shown, strict=True)
    )


def _line(
    item: Item, shown: Shown, words: KnifeWords, draft: QuoteDraft | None
) -> OfferLine:
    serial = item.knife.serial if item.knife else ""
    return OfferLine(
        kind=cast("LineKind", item.kind),
        key=item.key,
        serial=serial,
        label=item.knife.name if item.knife else _beside(item, draft),
        detail=spec_sentences(words[serial]) if serial else "",
        amount=shown.read,
        net=shown.net,
        gross=shown.gross,
        percent=shown.percent,
    )


def _beside(item: Item, draft: QuoteDraft | None) -> str:
    """Name what is charged beside the knives, or taken off them."""
    if item.kind != "discount":
        return item.label or _(EXTRAS[item.key].label)
    share = draft.discount_percent if draft and not draft.discount else Decimal(0)
    name = _("Discount")
    if share:
        name = _("Discount of {rate} on the knives").format(rate=percent_text(share))
    reason = item.label or (draft.discount_reason if draft else "")
    return f"{name}: {reason}" if reason else name


def _option(
    priced: PricedOrder, choice: Choice, words: KnifeWords, system: System
) -> OfferOption:
    added = choice.sums
    return OfferOption(
        label=choice.label or _("As described above"),
        detail=_different(priced, choice, words, system),
        serial=choice.knife.serial,
        values=plain(choice.values),
        mass=float(choice.result.mass),
        balance=float(choice.result.balance),
        amount=added.read,
        net=added.net,
        tax=added.tax,
        total=added.gross,
        deposit=choice.deposit.gross,
    )


def _different(
    priced: PricedOrder, choice: Choice, words: KnifeWords, system: System
) -> str:
    """Say in words what an option has that the lines of the quote have not."""
    if not choice.values:
        return ""
    knife = copy.copy(choice.knife)
    for name, value in choice.values.items():
        setattr(knife, name, value)
    figures = priced.plans[plan_of(choice.knife).pk]
    other = specification(
        Specified(knife=knife, result=choice.result, figures=figures), system
    )
    said = _told_apart(words[knife.serial], other)
    return f"{knife.name}: {said}" if len(priced.knives) > 1 else said


def _told_apart(here: Mapping[str, str], other: Mapping[str, str]) -> str:
    return "; ".join(
        f"{label}: {other[key]}"
        for key, label in LABELS.items()
        if key not in FOLLOWS and other.get(key) and other[key] != here.get(key)
    )


# --- sentences -------------------------------------------------------------------


def tax_notes(offer: Offer, note: str, day: dt.date) -> list[str]:
    """Say how tax was worked out, or why there is none, and how it was rounded.

    ``note`` is what the shop's tax setting has to say; the usual words of a taxed
    regime stand in the sentence on rounding already.
    """
    regime = REGIMES.get(offer.regime)
    usual = {one.note for one in REGIMES.values()}
    said = []
    if note not in usual:
        said.append(note)
    elif regime and not regime.taxed:
        said.append(texts.text(regime.key, day))
    if offer.taxed:
        said.append(
            _("Tax is worked out once per rate, out of the sum of its amounts.")
            if offer.mode == "gross"
            else _("Tax is worked out once per rate, on the sum of its amounts.")
        )
    rounding = _(
        "Every amount is rounded to the smallest coin, halves up; the lines add up to "
        "the total."
    )
    return [*said, rounding]


def deposit_sentences(deposit: Taxed, final: Taxed, currency: str) -> list[str]:
    """Say what is paid first, what it is for, and when the rest is due."""
    if not deposit.gross:
        return [_("No deposit is asked for; the price is due before handing over.")]
    amount = money_text(deposit.gross, currency)
    asked = _("A deposit of {deposit} is due when you accept.").format(deposit=amount)
    if deposit.tax:
        asked = _(
            "A deposit of {deposit} is due when you accept, {tax} of it tax."
        ).format(deposit=amount, tax=money_text(deposit.tax, currency))
    rest = _(
        "It buys the steel and your place in the queue. The balance of {rest} is due "
        "before handing over."
    ).format(rest=money_text(final.gross, currency))
    return [asked, rest]


def option_sentences(offer: Offer, share: Decimal) -> list[str]:
    """Say how an option is chosen, and what is paid first for it."""
    if not offer.options:
        return []
    said = [_("Name the option when you accept.")]
    if not offer.deposit:
        return said
    if all(_is_share(one, share, offer.currency) for one in offer.options):
        same = _("The deposit for an option is the same share of its price, {share}.")
        return [*said, same.format(share=percent_text(share))]
    each = "; ".join(
        f"{one.label}: {money_text(one.deposit, offer.currency)}"
        for one in offer.options
    )
    return [*said, _("The deposit by option: {each}.").format(each=each)]


def _is_share(option: OfferOption, share: Decimal, currency: str) -> bool:
    return option.deposit == money(option.total * share / HUNDRED, currency)


def next_sentences(offer: Offer) -> list[str]:
    """Say what the customer does now, and what the shop does then."""
    holds = (
        _("The estimate stands until {day}.")
        if offer.kind == "estimate"
        else _("The price is fixed until {day}.")
    )
    return [
        holds.format(day=long_day(offer.valid_until)),
        _(
            "Say yes by then: by the link you were sent, or by telephone, mail or "
            "letter with the number of this quote."
        ),
        _("When the deposit is here your steel is bought and the forging is planned."),
    ]


def delivery_sentences(order: Order, day: dt.date, *, sent: bool) -> list[str]:
    """Say which week is promised, and how the knife comes to its owner."""
    handed = texts.text("collect", day)
    if sent:
        handed = _("It is sent to you; what that costs stands in the lines above.")
    return [_week_sentence(order), handed]


def _week_sentence(order: Order) -> str:
    if order.promised_week is None:
        return _("The week of delivery is agreed when you accept.")
    week = weeks.in_words(order.promised_week)
    return _("Promised for {week}, if you accept in time.").format(week=week)


def changed_heading(priced: PricedOrder, offer: Offer) -> str:
    """Name the revision whose differences are told."""
    before = priced.order.quotes.get(revision=offer.revision - 1)
    day = long_day(timezone.localdate(before.issued_at))
    return _("Changed since revision {revision} of {day}").format(
        revision=before.revision, day=day
    )
