"""Private links in what is kept: the way to the page stays, its secret goes."""

from __future__ import annotations

import re

MASK = "/q/…"
"""Stands where a link's secret was; the database keeps none (``private.tokens``)."""

MARK = re.compile(r"(?:https?://[^\s/]+)?/q/…/?")
"""The mark as it stands in a text, with what may be left of an address around it."""

LINK = re.compile(r"/q/[A-Za-z0-9_-]{43,}", re.ASCII)


def masked(text: str) -> str:
    """Return a text in which no private link opens anything.

    >>> masked("Read https://forge.example/q/" + "x" * 43 + "/ at leisure")
    'Read https://forge.example/q/…/ at leisure'
    """
    return LINK.sub(MASK, text)


def unmasked(text: str, address: str) -> str:
    """Return a text with a link where the mark stood.

    >>> unmasked("Read /q/… at leisure", "https://forge.example/q/x/")
    'Read https://forge.example/q/x/ at leisure'
    """
    return MARK.sub(lambda _found: address, text)


def with_mark(text: str, said: str, signed: str) -> str:
    r"""Return a text that has the mark: in a sentence before the name, if it had none.

    >>> with_mark("Dear Ada.\n\nIda", "Look: /q/…", "Ida")
    'Dear Ada.\n\nLook: /q/…\n\nIda'
    """
    if MASK in text:
        return text
    text = text.rstrip()
    if signed and text.endswith(signed):
        begun = text.removesuffix(signed).rstrip()
        return f"{begun}\n\n{said}\n\n{signed}"
    return f"{text}\n\n{said}"
