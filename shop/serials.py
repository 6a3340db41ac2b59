"""Numbers a smith can scratch, read and say: orders, knives, two-stroke marks."""

from __future__ import annotations

from collections.abc import Collection
from itertools import product

ALPHABET = "2346789ABCDEFGHJKMNPQRTUVWXYZ"  # none of 0 O 1 I L 5 S
FIRST_SERIAL = len(ALPHABET) ** 3

# Two strokes each. X and + are the same sign turned by 45 degrees, so are V and L:
# never both of a pair in one batch.
MARKS = ("T", "V", "X")


def serial(number: int) -> str:
    """Write a running number as a knife number of four signs or more.

    >>> serial(0), serial(1), serial(30)
    ('3222', '3223', '3233')
    """
    left, signs = number + FIRST_SERIAL, ""
    while left:
        left, digit = divmod(left, len(ALPHABET))
        signs = ALPHABET[digit] + signs
    return signs


def scratch_mark(taken: Collection[str]) -> str:
    """Return the shortest mark that no other piece of the batch carries.

    >>> scratch_mark([]), scratch_mark(["T", "V"]), scratch_mark(["T", "V", "X"])
    ('T', 'X', 'TT')
    """
    for length in range(1, 5):
        for strokes in product(MARKS, repeat=length):
            if "".join(strokes) not in taken:
                return "".join(strokes)
    raise ValueError("no batch holds more than a hundred pieces")
