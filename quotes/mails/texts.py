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
        "name", "number", "knives", "paper", "total", "until", "amount", "owed",
        "stages", "promised", "photos", "link", "signed", "accepted", "since", "told",
        "way",
    }
)  # fmt: skip
UNKNOWN = "[…]"
"""Stands where nothing is known yet, for the owner to fill in; it is never sent."""

MAILS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "quote": (
            gettext_noop("Your quote {number}"),
            gettext_noop(
                "Dear {name},\n\n"
                "attached is our quote {number} for {knives}: {total}. It holds until "
                "{until}.\n\n"
                "{link}\n\n"
                "Read it at your leisure. If something is not as you want it, tell us "
                "and we change it; if you accept it, answer that you do.\n\n"
                "{signed}"
            ),
        ),
        "quote accepted": (
            gettext_noop("Your quote {number}, as you accepted it"),
            gettext_noop(
                "Dear {name},\n\n"
                "attached once more is quote {number} for {knives}, which you accepted "
                "on {accepted}: {total}. {since}\n\n"
                "{link}\n\n"
                "{signed}"
            ),
        ),
        "request": (
            gettext_noop("Request for payment, order {number}"),
            gettext_noop(
                "Dear {name},\n\n"
                "for your order {number}, {knives}, we ask for {amount} now. The paper "
                "attached says what for and where to. Give {number} as reference, so "
                "that we find it.\n\n"
                "{link}\n\n"
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
                "{link}\n\n"
                "{signed}"
            ),
        ),
        "balance": (
            gettext_noop("Order {number} is finished"),
            gettext_noop(
                "Dear {name},\n\n"
                "the work on {knives} is done, order {number}. {photos}\n\n"
                "{owed}\n\n"
                "{way}\n\n"
                "{link}\n\n"
                "{signed}"
            ),
        ),
        "balance delivered": (
            gettext_noop("Order {number}: how its account stands"),
            gettext_noop(
                "Dear {name},\n\n"
                "{told} {photos}\n\n"
                "{owed}\n\n"
                "{link}\n\n"
                "{signed}"
            ),
        ),
        "balance cancelled": (
            gettext_noop("Order {number} is cancelled"),
            gettext_noop(
                "Dear {name},\n\n"
                "{told}\n\n"
                "{owed}\n\n"
                "{link}\n\n"
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
"""What can be written, by kind: its subject and its text.

A kind that reads otherwise once its order is answered or over has a text for that too
(``standing.text_key``).
"""

OPEN_PAGE = gettext_noop(
    "On a page of your own you see what is agreed and what is open:\n{link}"
)

LINKS: Mapping[str, str] = MappingProxyType(
    {
        "quote accepted": OPEN_PAGE,
        "quote": gettext_noop(
            "On a page of your own you can read it, ask about it and accept it:\n{link}"
        ),
        "request": OPEN_PAGE,
        "progress": gettext_noop(
            "On a page of your own you can see it at any time, and ask:\n{link}"
        ),
        "balance": OPEN_PAGE,
        "balance delivered": OPEN_PAGE,
        "balance cancelled": OPEN_PAGE,
    }
)  # fmt: skip
"""What is said of the private page, in the messages that lead to it."""

OWED = gettext_noop(
    "Still to be paid before the handing over: {balance}. Give {number} as reference, "
    "so that we find it."
)
STILL_OPEN = gettext_noop(
    "Still open: {balance}. Give {number} as reference, so that we find it."
)
PAID = gettext_noop("All of it is paid, thank you.")
NOTHING_OPEN = gettext_noop("Nothing more is to be paid.")
GOES_BACK = gettext_noop("{back} of what you paid goes back to you.")
HANDED_OVER = gettext_noop("Your order {number}, {knives}, was handed over on {day}.")
CANCELLED = gettext_noop("Your order {number} is cancelled.")
CHANGED_SINCE = gettext_noop("What we agreed on since then comes beside it.")
AGREE_ON_THE_WAY = gettext_noop("Then we agree with you how it comes to you.")
SENT_ONCE_PAID = gettext_noop("Once that is here, we send it to you.")
SENT_NEXT = gettext_noop("We send it to you next.")

_PLACES = re.compile(r"\{(\w+)\}")


def fill(text: str, values: Mapping[str, str]) -> str:
    """Return a text with its placeholders replaced, each once.

    >>> fill("Dear {name}, {{7*7}}", {"name": "{total} Ada", "total": "5"})
    'Dear {total} Ada, {{7*7}}'
    """
    filled = _PLACES.sub(lambda found: _value(found, values), text)
    return re.sub(r"\n{3,}", "\n\n", re.sub(r" +\n", "\n", filled))


def _value(found: re.Match[str], values: Mapping[str, str]) -> str:
    name = found[1]
    return values.get(name, UNKNOWN) if name in PLACEHOLDERS else found[0]
