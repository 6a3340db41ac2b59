"""What customers are written, before the owner has looked it over.

A text is fixed here and said in the customer's language. Its placeholders come from a
fixed list and are put in by plain replacement, once: what a name or a number brings
with it is never read as a placeholder again, and nothing typed is ever a template.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from django.utils.translation import gettext_noop

PLACEHOLDERS = frozenset(
    {
        "name", "number", "knives", "paper", "total", "until", "amount", "balance",
        "stages", "promised", "signed",
    }
)  # fmt: skip
UNKNOWN = "…"
"""Stands where nothing is known yet, for the owner to fill in."""

MAILS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "quote": (
            gettext_noop("Your quote {number}"),
            gettext_noop(
                "Dear {name},\n\n"
                "attached is our quote {number} for {knives}: {total}. It holds until "
                "{until}.\n\n"
                "Read it at your leisure. If something is not as you want it, tell us "
                "and we change it; if you accept it, answer that you do.\n\n"
                "{signed}"
            ),
        ),
        "request": (
            gettext_noop("Request for payment, order {number}"),
            gettext_noop(
                "Dear {name},\n\n"
                "thank you for ordering {knives}. Before we go on we ask for {amount}; "
                "the paper attached says where to. Give {number} as reference, so that "
                "we find it.\n\n"
                "{signed}"
            ),
        ),
        "invoice": (
            gettext_noop("Order {number}: {paper}"),
            gettext_noop(
                "Dear {name},\n\n"
                "attached for {knives}, order {number}: {paper}.\n\n"
                "{signed}"
            ),
        ),
        "progress": (
            gettext_noop("How your order {number} stands"),
            gettext_noop(
                "Dear {name},\n\n"
                "a word on how order {number} stands:\n\n"
                "{stages}\n\n"
                "{promised}\n\n"
                "{signed}"
            ),
        ),
        "balance": (
            gettext_noop("Order {number} is finished"),
            gettext_noop(
                "Dear {name},\n\n"
                "the work on {knives} is done, order {number}. Still to be paid before "
                "the handing over: {balance}. Give {number} as reference, so that we "
                "find it. Then we agree with you how it comes to you.\n\n"
                "{signed}"
            ),
        ),
        "change": (
            gettext_noop("Your change to order {number}"),
            gettext_noop(
                "Dear {name},\n\n"
                "you asked for a change to order {number}. Here is what it comes to: "
                "what can still be made otherwise, what it costs and when the work is "
                "then done.\n\n"
                "Tell us whether you agree. Until then we go on as it was agreed.\n\n"
                "{signed}"
            ),
        ),
    }
)  # fmt: skip
"""What can be written, by kind: its subject and its text."""

_PLACES = re.compile(r"\{(\w+)\}")


def fill(text: str, values: Mapping[str, str]) -> str:
    """Return a text with its placeholders replaced, each once.

    >>> fill("Dear {name}, {{7*7}}", {"name": "{total} Ada", "total": "5"})
    'Dear {total} Ada, {{7*7}}'
    """
    filled = _PLACES.sub(lambda found: _value(found, values), text)
    return re.sub(r"\n{3,}", "\n\n", filled)


def _value(found: re.Match[str], values: Mapping[str, str]) -> str:
    name = found[1]
    return values.get(name, UNKNOWN) if name in PLACEHOLDERS else found[0]
