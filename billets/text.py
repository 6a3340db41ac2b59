"""Typed text made safe to keep: no controls, no hidden direction, one normal form."""

from __future__ import annotations

import unicodedata

HIDDEN = dict.fromkeys(
    [
        *range(0x09), 0x0B, 0x0C, *range(0x0E, 0x20), *range(0x7F, 0xA0),
        0x061C, 0x200B, 0x200E, 0x200F, *range(0x202A, 0x202F), 0x2060,
        *range(0x2066, 0x206A), 0xFEFF, 0xFFFE, 0xFFFF,
    ]
)  # fmt: skip
"""NUL, controls, direction overrides and zero-width space; joiners stay for scripts
and emoji that need them."""

BREAKS = str.maketrans({"\r": "\n", "\u2028": "\n", "\u2029": "\n"})
SURROGATES = dict.fromkeys(range(0xD800, 0xE000), "\ufffd")
UNSEEN = frozenset({"Cc", "Cf", "Cn", "Cs", "Zs", "Zl", "Zp", "Mn", "Me"})
BLANKS = frozenset("\u115f\u1160\u2800\u3164\uffa0")
"""Letters by category that print nothing."""

KEY_DIGITS = 18
"""No primary key has more; a database refuses to look for one that has."""

NO_VERSION = 0
"""Stands for the version of a form that came without; rows count from 1."""


def clean_text(text: str, *, lines: bool = False) -> str:
    r"""Return text as it may be kept; empty if nothing of it can be seen.

    Line breaks become spaces unless ``lines`` are wanted.

    >>> clean_text("  Ada\x00 Smith\u202e\n"), clean_text("\u200b\u200d")
    ('Ada Smith', '')
    >>> clean_text("one\r\ntwo"), clean_text("one\r\ntwo", lines=True)
    ('one two', 'one\ntwo')
    """
    text = text.translate(SURROGATES).replace("\r\n", "\n").translate(BREAKS)
    text = unicodedata.normalize("NFC", text.translate(HIDDEN))
    if not lines:
        text = text.replace("\n", " ").replace("\t", " ")
    text = text.strip()
    return text if any(_can_be_seen(sign) for sign in text) else ""


def _can_be_seen(sign: str) -> bool:
    return unicodedata.category(sign) not in UNSEEN and sign not in BLANKS


def sent_number(text: str | None, *, digits: int = 9) -> int | None:
    """Return a whole number a page sent, None if it is none or has too many digits.

    A longer one no database would take, and reading it would take long.

    >>> sent_number("12"), sent_number("-1"), sent_number("٣"), sent_number("9" * 10)
    (12, None, None, None)
    """
    if text is None or not (text.isascii() and text.isdigit()):
        return None
    return int(text) if len(text) <= digits else None


def in_fours(number: str) -> str:
    """Write a long number in groups of four signs.

    >>> in_fours("XX00123456789")
    'XX00 1234 5678 9'
    """
    bare = "".join(number.split())
    return " ".join(bare[at : at + 4] for at in range(0, len(bare), 4))
