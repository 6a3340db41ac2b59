"""What became of an order, in words: differences with their sign, and sentences."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from babel.lists import format_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.messages import spoken
from billets.units import local_number, locale_of
from billets.wording import Saying
from quotes.after.compared import Guess
from quotes.after.order import After
from quotes.money import ZERO
from quotes.wording import money_text, percent_text
from shop.models import Knife
from shop.templatetags.shop_words import stage_words

NOTHING = "–"
SIGNS = {True: "+", False: "\u2212"}


# --- numbers -----------------------------------------------------------------------


def hours_text(hours: Decimal) -> str:
    """Write hours to the hundredth, as they are written down."""
    return f"{local_number(hours, spoken(), places=2)}\u00a0h"


def more_or_less(difference: Decimal, currency: str) -> str:
    """Write a difference of money with its sign."""
    if not difference:
        return money_text(ZERO, currency)
    return SIGNS[difference > 0] + money_text(abs(difference), currency)


def percent_more(percent: Decimal | None) -> str:
    """Write a difference in per cent with its sign."""
    if percent is None:
        return NOTHING
    if not percent:
        return percent_text(abs(percent))
    return SIGNS[percent > 0] + percent_text(abs(percent))


def names(knives: Iterable[Knife]) -> str:
    """Write some knives one after the other."""
    return format_list([str(one) for one in knives], locale=locale_of(spoken()))


# --- sentences ----------------------------------------------------------------------


def guess_sentence(guess: Guess, currency: str) -> str:
    """Say how far off one guess was."""
    more = guess.difference > 0
    said = _("{what}: {estimated} estimated, {actual} taken: {by} less.")
    if more:
        said = _("{what}: {estimated} estimated, {actual} taken: {by} more.")
    by = money_text(abs(guess.difference), currency)
    if guess.percent is not None:
        by = f"{by} ({percent_text(abs(guess.percent))})"
    return said.format(
        what=_(guess.label),
        estimated=money_text(guess.estimated, currency),
        actual=money_text(guess.actual, currency),
        by=by,
    )


def notes(found: After) -> Iterable[Saying]:
    """Say what to know before reading the numbers."""
    if found.waiting:
        yield Saying(level="warn", first=_waiting(found.waiting))
    if found.cancelled:
        said = _(
            "Cancelled: {names}. The quote still holds what was cancelled; nothing "
            "here says what was paid of it."
        )
        yield Saying(level="warn", first=said.format(names=names(found.cancelled)))
    yield Saying(level="note", first=_failures(found))
    if found.added:
        said = _("Not in the quote, made again or added since: {names}.")
        yield Saying(level="note", first=said.format(names=names(found.added)))
    if found.of_another and found.option:
        said = _(
            "The customer chose “{option}”: the price is of that, the estimated costs "
            "are of the knife as it was first written."
        )
        yield Saying(level="note", first=said.format(option=found.option.label))
    if found.beside:
        said = _(
            "The whole price before tax is {net}. {beside} of it is for what is no "
            "knife; it is left out here, as spent in full."
        )
        currency = found.quote.currency
        net, beside = (money_text(one, currency) for one in (found.net, found.beside))
        yield Saying(level="note", first=said.format(net=net, beside=beside))


def _waiting(knives: Iterable[Knife]) -> str:
    told = [f"{one} ({stage_words(one)})" for one in knives]
    return _("Not finished yet: {names}. This is what is known so far.").format(
        names=format_list(told, locale=locale_of(spoken()))
    )


def _failures(found: After) -> str:
    """Say what scrapped knives took against what the quote put aside for them."""
    compared, currency = found.comparison, found.quote.currency
    lost = compared.taken.lost
    aside = money_text(compared.failures.line.amount, currency)
    if not lost.knives:
        said = _("The quote put {aside} aside for failures; no knife was scrapped.")
        return said.format(aside=aside)
    if not compared.lost:
        said = ngettext(
            "The quote put {aside} aside for failures; one knife was scrapped, and "
            "nothing is recorded of it yet.",
            "The quote put {aside} aside for failures; {count} knives were scrapped, "
            "and nothing is recorded of them yet.",
            lost.knives,
        )
        return said.format(aside=aside, count=lost.knives)
    said = ngettext(
        "The quote put {aside} aside for failures; one knife was scrapped, and took "
        "{spent} of hours, machines, steel and gas.",
        "The quote put {aside} aside for failures; {count} knives were scrapped, and "
        "took {spent} of hours, machines, steel and gas.",
        lost.knives,
    )
    text = said.format(
        aside=aside, count=lost.knives, spent=money_text(compared.lost, currency)
    )
    if lost.final or found.waiting:
        return text
    unsaid = _("Not of all of them are hours recorded, so this is the least it took.")
    return f"{text} {unsaid}"
