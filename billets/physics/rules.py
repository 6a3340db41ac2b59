"""Every kind of step and what it does to a billet.

A rule takes the billet, the step and what all steps share, and returns the change.
The order of a plan and its sums are in `plan.run_plan`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from billets.physics.cold_rules import cut, fold, grind, trim
from billets.physics.hot_rules import draw, weld
from billets.physics.layers import LayerBook, book_folded, book_restacked
from billets.physics.state import Change, Context, State
from billets.physics.steps import Cut, Fold


@dataclass(frozen=True, slots=True)
class Rule:
    """What a kind of step does.

    Attributes
    ----------
    change : callable
        (state, step, context) to change: sizes, losses, times.
    book : callable
        (layer book, step) to layer book: how the layers lie afterwards.
    """

    change: Callable[[State, Any, Context], Change]
    book: Callable[[LayerBook, Any], LayerBook]


def _as_it_was(book: LayerBook, _step: object) -> LayerBook:
    return book


def _book_cut(book: LayerBook, step: Cut) -> LayerBook:
    return book_restacked(book, step.pieces, turned=step.turned)


def _book_fold(book: LayerBook, _step: Fold) -> LayerBook:
    return book_folded(book)


RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "weld": Rule(weld, _as_it_was),
        "draw": Rule(draw, _as_it_was),
        "trim": Rule(trim, _as_it_was),
        "grind": Rule(grind, _as_it_was),
        "cut": Rule(cut, _book_cut),
        "fold": Rule(fold, _book_fold),
    }
)
"""What every kind of step does. Never remove one: old plans name it."""
