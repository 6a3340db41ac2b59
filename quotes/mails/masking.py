"""Private links in what is kept: the way to the page stays, its secret goes."""

from __future__ import annotations

import re

MASK = "/q/…"
"""Stands where a link's secret was; the database keeps none (``private.tokens``)."""

LINK = re.compile(r"/q/[A-Za-z0-9_-]{43,}", re.ASCII)


def masked(text: str) -> str:
    """Return a text in which no private link opens anything.

    >>> masked("Read https://forge.example/q/" + "x" * 43 + "/ at leisure")
    'Read https://forge.example/q/…/ at leisure'
    """
    return LINK.sub(MASK, text)
