"""The ladder of cancelling and changing in words, for papers and pages."""

from __future__ import annotations

import contextlib
import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext as _

from quotes import texts
from quotes.changes_after.ladder import Settled
from quotes.errors import QuoteError
from quotes.ladder_items import LADDER_ITEMS
from quotes.rates import Rates
from quotes.wording import money_text, percent_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One rung of the ladder as a page shows it, with the sums of an order."""

    when: str
    cut: bool
    percent: str
    kept: str
    returned: str
    owed: str


def ladder_note(rates: Rates, day: dt.date) -> tuple[str, str]:
    """Return what a paper says of cancelling and changing: heading and text.

    The shop's own words, then its numbers; where a rate is missing, the words alone.
    """
    words = [texts.text("ladder", day)]
    with contextlib.suppress(QuoteError):
        words.append(ladder_sentence(rates))
    return texts.heading("ladder"), " ".join(words)


def ladder_sentence(rates: Rates) -> str:
    """Say the numbers of the ladder; QuoteError if the shop has not told one."""
    shares = {item.key: percent_text(rates.value(item.key)) for item in LADDER_ITEMS}
    return _(
        "Cancelled before the steel is cut: {cancel_before} of the agreed price; after "
        "that {cancel_after}. Changed before: {change_before} of the price of the part "
        "changed, beside the work; after that {change_after} of what of it is begun."
    ).format(**shares)


def rung_of(one: Settled, currency: str, *, cut: bool) -> Rung:
    """Return a rung with what an order comes to by it."""
    when = _("after the steel is cut") if cut else _("before the steel is cut")
    return Rung(
        when=when,
        cut=cut,
        percent=percent_text(one.percent),
        kept=money_text(one.kept, currency),
        returned=money_text(one.returned, currency),
        owed=money_text(one.owed, currency),
    )


def settled_sentence(one: Settled, currency: str) -> str:
    """Say what was paid, what is kept and what goes back or is still owed."""
    said = _("Paid {paid}; kept {kept}").format(
        paid=money_text(one.paid, currency), kept=money_text(one.kept, currency)
    )
    if one.handed_over:
        said = _("{said}, {handed} of it for what is handed over").format(
            said=said, handed=money_text(one.handed_over, currency)
        )
    if one.owed:
        left = _("still to be paid: {owed}").format(owed=money_text(one.owed, currency))
    else:
        left = _("to be returned: {returned}").format(
            returned=money_text(one.returned, currency)
        )
    return f"{said}; {left}."
