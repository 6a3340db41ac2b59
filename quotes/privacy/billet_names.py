"""Names of billets that point to whoever they were made for.

A billet of a floor price is called after its knife, its pattern and the caller: by the
name they said, or by day and time of the call. That stays as it was when the customer
is called otherwise later, so it is known by its place in the name, not by its words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext

from billets.choices import pattern_class
from quotes.floor.orders import CALLER_TITLE

GONE = "…"


def without_caller(title: str) -> str:
    """Return the name of a billet without the caller; any other stays as it is."""
    for pattern in _patterns():
        found = pattern.fullmatch(title)
        if found:
            return title[: found.start("caller")] + GONE
    return title


def _patterns() -> Iterator[re.Pattern[str]]:
    """Return what such a name looks like in each language of the shop."""
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            classes = "|".join(re.escape(str(said)) for _key, said in pattern_class())
            parts = {"knife": ".+", "pattern": f"(?:{classes})",
                     "caller": "(?P<caller>.+)"}  # fmt: skip
            shape = re.escape(gettext(CALLER_TITLE))
        for name, part in parts.items():
            shape = shape.replace(re.escape("{" + name + "}"), part)
        yield re.compile(shape, re.DOTALL)
