"""Guesses at private links: how long they count, and that they go when they do not.

A guess keeps the address it came from, which may be a person's. It goes with the next
guess, and else when somebody opens a link or the shop's own pages.
"""

from __future__ import annotations

import datetime as dt

from shop.models import LinkGuess

WINDOW = dt.timedelta(minutes=10)


def forget(at: dt.datetime) -> None:
    """Delete guesses that no longer count, with the addresses they came from.

    Looked for first: a page that is only looked at waits for no writer.
    """
    old = LinkGuess.objects.filter(at__lte=at - WINDOW)
    if old.exists():
        old.delete()
