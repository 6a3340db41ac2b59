"""Finding the least whole number that suffices, with few trials."""

from __future__ import annotations

from collections.abc import Callable


def least_that(suffices: Callable[[int], bool], guess: int, most: int) -> int | None:
    """Return the least whole number, 1 to most, that suffices; None if none does.

    Steps away from the guess doubling each time, then halves the gap: two trials
    if the guess was right.
    """
    good, bad = _bracket(suffices, max(guess, 1), most)
    while good is not None and good - bad > 1:
        middle = (good + bad) // 2
        if suffices(middle):
            good = middle
        else:
            bad = middle
    return good


def _bracket(
    suffices: Callable[[int], bool], guess: int, most: int
) -> tuple[int | None, int]:
    """Return a number that suffices, or None, and a smaller one that does not."""
    step = 1
    if suffices(guess):
        good = guess
        while good - step > 0:
            if not suffices(good - step):
                return good, good - step
            good, step = good - step, step * 2
        return good, 0
    bad = guess
    while bad < most:
        tried = min(bad + step, most)
        if suffices(tried):
            return tried, bad
        bad, step = tried, step * 2
    return None, bad
