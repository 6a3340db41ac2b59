"""The order of the layers, written in letters: ABABA, or 6(AB)A for a long one.

One letter a piece, from the bottom of the stack. A number before a letter or a bracket
repeats it; spaces, commas and a times sign only part what is written.
"""

from __future__ import annotations

import re
from itertools import groupby

from billets.physics.bar import MOST_PIECES
from billets.physics.errors import PlanError, _

DIGITS = frozenset("0123456789")
LETTERS = "ABCDE"
"""Letters a plan can give bars to."""

FEW = 12
"""So many pieces are written one by one; more by what repeats [1]."""

EXAMPLE = "6(AB)A"
_SIGN = re.compile(r"[0-9]+\s*[×*·]?|[^\s,;]")
_TWO_WAYS = re.compile(r"[0-9]\s*[×*·]\s*[A-Z][A-Z]|[0-9]\s+[A-Z]")


def read_order(text: str) -> str:
    """Return every letter of an order; PlanError if it cannot be read.

    >>> read_order("ab ab A"), read_order("3(AB)A"), read_order("2 x (A2BC), 2A")
    ('ABABA', 'ABABABA', 'ABBCABBCAA')
    """
    clean = text.upper().replace("X", "×")
    if _TWO_WAYS.search(clean):
        raise _refused(
            _(
                "“{text}” can be read two ways; put what repeats into brackets, like "
                "{example}."
            ),
            text,
        )
    runs = [""]  # the whole, and brackets not closed yet
    repeats = [1]  # how often each of them is laid, and what comes next
    for sign in _SIGN.findall(clean):
        _take(sign, runs, repeats, text)
    if len(runs) > 1 or len(repeats) > 1:
        raise _unread("", text)
    if not runs[0]:
        raise _refused(
            _("The stack has no pieces; write one letter a piece, like {example}."),
            text,
        )
    return runs[0]


def _take(sign: str, runs: list[str], repeats: list[int], text: str) -> None:
    """Take one more sign; a number waits in ``repeats`` for what it is of."""
    waits = len(repeats) > len(runs)
    if sign[0] in DIGITS and not waits:
        repeats.append(min(int(re.sub("[^0-9]", "", sign)), MOST_PIECES + 1))
    elif sign == "(":
        runs.append("")
        if not waits:
            repeats.append(1)
    elif sign == ")" and len(runs) > 1 and not waits:
        _lay(runs.pop(), repeats.pop(), runs)
    elif sign in LETTERS:
        _lay(sign, repeats.pop() if waits else 1, runs)
    else:
        raise _unread(sign, text)


def _lay(letters: str, times: int, runs: list[str]) -> None:
    """Lay letters on the open run; PlanError before it grows beyond belief."""
    if len(runs[-1]) + len(letters) * times > MOST_PIECES:
        raise PlanError(
            _("Nobody lays more than {most} pieces; write a shorter order."),
            field="order",
            most=MOST_PIECES,
        )
    runs[-1] += letters * times


def _unread(sign: str, text: str) -> PlanError:
    if sign.isalpha() and sign.isascii():
        return PlanError(
            _("No bar has the letter {letter}; use letters from {first} to {last}."),
            field="order",
            letter=sign,
            first=LETTERS[0],
            last=LETTERS[-1],
        )
    return _refused(
        _(
            "“{text}” is no order of layers; write one letter a piece, and a number "
            "before what repeats, like {example}."
        ),
        text,
    )


def _refused(message: str, text: str) -> PlanError:
    return PlanError(message, field="order", text=text.strip()[:40], example=EXAMPLE)


def write_order(order: str) -> str:
    """Return an order as short as it can be read at a glance.

    >>> write_order("ABABA"), write_order("AB" * 8 + "A"), write_order("AAAAAAAABBBBB")
    ('ABABA', '8(AB)A', '8A 5B')
    """
    if len(order) <= FEW:
        return order
    runs = runs_of(order)
    one_letter_each = all(len(letters) == 1 for _times, letters in runs)
    between = " " if one_letter_each else ""
    return between.join(
        letters if times == 1 else f"{times}{_bracketed(letters)}"
        for times, letters in runs
    )


def _bracketed(letters: str) -> str:
    return f"({letters})" if len(letters) > 1 else letters


def runs_of(order: str) -> list[tuple[int, str]]:
    """Return what repeats in an order and how often, from the bottom up.

    >>> runs_of("AB" * 8 + "A"), runs_of("AAAB")
    ([(8, 'AB'), (1, 'A')], [(3, 'A'), (1, 'B')])
    """
    period = _period(order)
    if period == len(order):
        return [(len(list(run)), letter) for letter, run in groupby(order)]
    repeats, rest = divmod(len(order), period)
    return [(repeats, order[:period]), *([(1, order[:rest])] if rest else [])]


def _period(order: str) -> int:
    """Return after how many letters an order begins again; its length if never."""
    lengths = range(1, len(order) // 2 + 1)
    found = (
        one for one in lengths if order == (order[:one] * len(order))[: len(order)]
    )
    return next(found, len(order))
