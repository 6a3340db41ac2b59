"""What the private page says: where a knife stands, and why something cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

STAGE_WORDS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "": _("Waits for its turn."),
        "forge": _("At the forge: the billet is welded and drawn out, the blade is "
                   "forged."),
        "grind": _("Being ground to shape, and every weld looked at."),
        "harden": _("Being hardened and tempered."),
        "finish": _("Being ground thin, finished and etched."),
        "handle": _("Getting its handle."),
        "sharpen": _("Being sharpened, tested and weighed."),
        "delivered": _("Handed over."),
        "scrapped": _("Did not pass the shop's own checks, so it is not handed out."),
        "cancelled": _("Is not made."),
    }
)  # fmt: skip
"""Where a knife stands, as its customer reads it; a word for every stage."""

WAITS_FOR_DEPOSIT = _("Waits for the deposit; then the billet is welded and drawn out, "
                      "and the blade forged.")  # fmt: skip
"""Said at the forge while no work is done there yet."""

HANDED_OVER_ON: str | Promise = _("Handed over on {day}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """A page that says why there is nothing else on it.

    ``back`` says whether the private page is still there to go back to.
    """

    status: int
    title: str | Promise
    sentences: tuple[str | Promise, ...]
    back: bool = False


NOTHING_CHANGED = _("Nothing was changed.")

NOTICES: Mapping[str, Notice] = MappingProxyType(
    {
        "plain": Notice(
            status=403,
            title=_("This page needs an encrypted connection"),
            sentences=(
                _("Over plain HTTP anybody on the way could read your quote and answer "
                  "in your name, so it is not shown here."),
                _("Ask the shop for a link that begins with https."),
            ),
        ),
        "unknown": Notice(
            status=404,
            title=_("This link is not known"),
            sentences=(
                _("It may have been cut off: open it again from the message, or copy "
                  "all of it."),
                _("If that does not help, ask the shop for a new link."),
            ),
        ),
        "throttled": Notice(
            status=429,
            title=_("Too many links that are not known"),
            sentences=(
                _("For the next ten minutes no link is opened from here. Wait, then "
                  "open yours again from the message."),
            ),
        ),
        "no_key": Notice(
            status=403,
            title=_("Open this page by your link"),
            sentences=(
                _("This page is shown to whoever came by the link the shop has sent. "
                  "Open it again from the message."),
                _("If you just did, cookies are switched off: the page needs one to "
                  "know you, and uses it for nothing else."),
            ),
        ),
        "expired": Notice(
            status=410,
            title=_("This link has expired"),
            sentences=(
                _("What it showed is over for some time. Ask the shop for a new link "
                  "if you still need it."),
            ),
        ),
        "revoked": Notice(
            status=410,
            title=_("This link no longer works"),
            sentences=(
                _("The shop has ended it; there may be a newer one in your mail. If "
                  "not, ask the shop."),
            ),
        ),
        "nothing": Notice(
            status=404,
            title=_("There is nothing at this address"),
            sentences=(_("Go back to your page and open it from there."),),
            back=True,
        ),
        "damaged": Notice(
            status=500,
            title=_("This paper cannot be read"),
            sentences=(
                _("Its file is not as it was kept, so it is not shown. Ask the shop to "
                  "send it to you."),
            ),
            back=True,
        ),
        "no_photo": Notice(
            status=500,
            title=_("This photo cannot be read"),
            sentences=(
                _("Its file is not as it was kept, so it is not shown. Ask the shop to "
                  "send it to you."),
            ),
            back=True,
        ),
        "unsaid": Notice(
            status=400,
            title=_("Neither a yes nor a no has arrived"),
            sentences=(
                NOTHING_CHANGED,
                _("Open your page again, and answer with one of its two buttons."),
            ),
            back=True,
        ),
        "other": Notice(
            status=409,
            title=_("This answer belongs to another quote"),
            sentences=(
                _("The page it was sent from does not show what the shop offers you "
                  "now."),
                NOTHING_CHANGED,
                _("Open your page again, read it, and answer there."),
            ),
            back=True,
        ),
        "superseded": Notice(
            status=409,
            title=_("A newer revision has replaced this quote"),
            sentences=(
                NOTHING_CHANGED,
                _("Your page shows the newer one: read it, and answer there."),
            ),
            back=True,
        ),
        "answered": Notice(
            status=409,
            title=_("This quote has been answered already"),
            sentences=(
                _("The first answer stands, and this one was not taken."),
                _("If you meant something else, ask the shop: a question on your page "
                  "or a call is enough."),
            ),
            back=True,
        ),
        "run_out": Notice(
            status=409,
            title=_("This quote has run out"),
            sentences=(
                NOTHING_CHANGED,
                _("Prices of steel and the queue have moved on. Ask the shop whether "
                  "it still stands; a new revision comes to this page."),
            ),
            back=True,
        ),
        "changed": Notice(
            status=409,
            title=_("The shop has to look at this quote first"),
            sentences=(
                _("Something in the order is not as quoted any more, so your yes was "
                  "not taken."),
                _("Ask the shop; a new revision comes to this page."),
            ),
            back=True,
        ),
        "other_change": Notice(
            status=409,
            title=_("This answer belongs to another change"),
            sentences=(
                _("The page it was sent from does not show what the shop asks you "
                  "now."),
                NOTHING_CHANGED,
                _("Open your page again, read it, and answer there."),
            ),
            back=True,
        ),
        "change_replaced": Notice(
            status=409,
            title=_("A newer change has replaced this one"),
            sentences=(
                NOTHING_CHANGED,
                _("Your page shows the newer one: read it, and answer there."),
            ),
            back=True,
        ),
        "change_answered": Notice(
            status=409,
            title=_("This change has been answered already"),
            sentences=(
                _("The first answer stands, and this one was not taken."),
                _("If you meant something else, ask the shop: a question on your page "
                  "or a call is enough."),
            ),
            back=True,
        ),
        "change_late": Notice(
            status=409,
            title=_("The shop has to look at this change first"),
            sentences=(
                _("The knife has come too far for it, or is not as it was when the "
                  "change was offered, so your yes was not taken."),
                _("Ask the shop what can still be done; it then comes to this page."),
            ),
            back=True,
        ),
        "closed": Notice(
            status=409,
            title=_("This order takes no answer now"),
            sentences=(
                NOTHING_CHANGED,
                _("Your page says how it stands; ask the shop if that surprises you."),
            ),
            back=True,
        ),
    }
)  # fmt: skip
"""Every such page, by the key the code calls it."""
