"""The stack on a build sheet: what lies on what, and how it is cut from bars."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext as _

from billets.figures import PlanFigures
from billets.services import CutItem
from billets.units import System
from quotes.sheet_words import length_text, mass_text, size_text, whole_text

FEW = 12
"""So many pieces are written out one by one; more by what repeats."""

NARROWER = 0.0005
"""A bar so much wider than the stack has to be ripped [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StackRow:
    """The pieces of one bar in the stack."""

    letter: str
    steel: str
    pieces: str
    size: str
    mass: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StackList:
    """What is stacked, in order from the bottom, and from which bars it is cut."""

    order: str
    count: str
    rows: tuple[StackRow, ...]
    total: str
    cuts: tuple[str, ...]


def stack_list(figures: PlanFigures, system: System) -> StackList:
    """Return the stack of a plan."""
    spec = figures.spec
    return StackList(
        order=order_text(spec.order),
        count=_("{count} pieces").format(count=whole_text(len(spec.order))),
        rows=tuple(
            _stack_row(figures, letter, pieces, system)
            for letter, pieces in sorted(Counter(spec.order).items())
        ),
        total=mass_text(figures.plain.start_mass, system),
        cuts=tuple(_cut_sentence(item, spec.width, system) for item in figures.cuts),
    )


def order_text(order: str) -> str:
    """Write the order of the layers so that it can be counted at the anvil.

    >>> order_text("ABABA"), order_text("AB" * 17 + "A"), order_text("A" * 9 + "B" * 4)
    ('A B A B A', '17 × (A B), A', '9 × A, 4 × B')
    """
    if len(order) <= FEW:
        return " ".join(order)
    period = _period(order)
    if period == len(order):
        runs = [(letter, len(list(run))) for letter, run in groupby(order)]
        return ", ".join(_times(count, letter) for letter, count in runs)
    repeats, rest = divmod(len(order), period)
    parts = [_times(repeats, " ".join(order[:period])), " ".join(order[:rest])]
    return ", ".join(part for part in parts if part)


def _period(order: str) -> int:
    """Return after how many letters an order repeats; its length if it never does."""
    half = len(order) // 2
    lengths = range(1, half + 1)
    found = (
        one for one in lengths if order == (order[:one] * len(order))[: len(order)]
    )
    return next(found, len(order))


def _times(count: int, letters: str) -> str:
    if count == 1:
        return letters
    return f"{count} × ({letters})" if " " in letters else f"{count} × {letters}"


def _stack_row(
    figures: PlanFigures, letter: str, pieces: int, system: System
) -> StackRow:
    spec = figures.spec
    bar = spec.bars[letter]
    mass = pieces * bar.thickness * spec.width * spec.length * bar.steel.density
    return StackRow(
        letter=letter,
        steel=bar.steel.name,
        pieces=whole_text(pieces),
        size=size_text((spec.length, spec.width, bar.thickness), system),
        mass=mass_text(mass, system),
    )


def _cut_sentence(item: CutItem, width: float, system: System) -> str:
    """Say how the pieces of a letter are cut, and what is left over."""
    line, bar = item.line, item.bar
    said = _(
        "{letter}: {pieces} × {length} from {bars} × {bar} of {bar_length}, {per_bar} "
        "a bar; {left} left over."
    ).format(
        letter=item.letter,
        pieces=whole_text(line.pieces),
        length=length_text(line.length, system),
        bars=whole_text(line.bars),
        bar=size_text((bar.width, bar.thickness), system),
        bar_length=length_text(bar.length, system),
        per_bar=whole_text(line.per_bar),
        left=length_text(line.left, system),
    )
    if bar.width - width < NARROWER:
        return said
    return f"{said} " + _("Rip to {width}.").format(width=length_text(width, system))
