"""What became of the money when an order was cancelled, told to its customer."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quotes.changes_after.saving import kept_settlement
from quotes.private.case import Case
from quotes.wording import money_text, percent_text
from shop.models import AgreedChange
from shop.settled import cancellation


def is_settled(case: Case) -> bool:
    """Say whether any of an order was cancelled for money."""
    return cancellation(case.order) is not None


def reckoned(case: Case) -> tuple[str, ...]:
    """Say how what is kept of a cancelled order was reckoned; of others nothing."""
    found = cancellation(case.order)
    if found is None or "percent" not in found.values:
        return ()
    return _told(found, case.quote.currency)


def _told(found: AgreedChange, currency: str) -> tuple[str, ...]:
    one = kept_settlement(found)
    rung = (
        _("Cancelled after the steel was cut: {percent} of {price} is kept, the agreed "
          "price of what was cancelled.")
        if found.values.get("cut")
        else _("Cancelled before the steel was cut: {percent} of {price} is kept, the "
               "agreed price of what was cancelled.")
    )  # fmt: skip
    price, handed, kept, paid = (
        money_text(amount, currency)
        for amount in (one.price, one.handed_over, one.kept, one.paid)
    )
    said = [rung.format(percent=percent_text(one.percent), price=price)]
    if one.handed_over:
        whole = _("What was handed over is paid in full: {handed}.")
        said.append(whole.format(handed=handed))
    sums = _("That comes to {kept}. By then {paid} was paid.")
    return (*said, sums.format(kept=kept, paid=paid))
