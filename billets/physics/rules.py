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
from billets.physics.core_rule import core
from billets.physics.hot_rules import draw, weld
from billets.physics.layers import (
    LayerBook,
    book_cored,
    book_folded,
    book_restacked,
)
from billets.physics.pattern_rules import dimple, ladder, twist
from billets.physics.state import Change, Context, State, typical
from billets.physics.steps import Core, Cut, Fold


@dataclass(frozen=True, slots=True)
class Rule:
    """What a kind of step does.

    Attributes
    ----------
    change : callable
        (state, step, context) to change: sizes, losses, times.
    book : callable
        (layer book, step, state before) to layer book: how the layers lie afterwards.
    """

    change: Callable[[State, Any, Context], Change]
    book: Callable[[LayerBook, Any, State], LayerBook]


def _as_it_was(book: LayerBook, _step: object, _before: State) -> LayerBook:
    return book


def _book_cut(book: LayerBook, step: Cut, _before: State) -> LayerBook:
    return book_restacked(book, step.pieces, turned=step.turned)


def _book_fold(book: LayerBook, _step: Fold, _before: State) -> LayerBook:
    return book_folded(book)


def _book_core(book: LayerBook, step: Core, before: State) -> LayerBook:
    thickness = typical(before.thickness)
    return book_cored(book, step.steel.key, step.thickness, thickness)


RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "weld": Rule(weld, _as_it_was),
        "draw": Rule(draw, _as_it_was),
        "trim": Rule(trim, _as_it_was),
        "grind": Rule(grind, _as_it_was),
        "cut": Rule(cut, _book_cut),
        "fold": Rule(fold, _book_fold),
        # Twisted, cut or drilled layers keep their numbers: the result says from how
        # many layers the figure was made.
        "twist": Rule(twist, _as_it_was),
        "ladder": Rule(ladder, _as_it_was),
        "dimple": Rule(dimple, _as_it_was),
        "core": Rule(core, _book_core),
    }
)
"""What every kind of step does. Never remove one: old plans name it."""
