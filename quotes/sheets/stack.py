"""The stack on a build sheet: what lies on what, and how it is cut from bars."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.utils.translation import gettext as _

from billets.figures import PlanFigures
from billets.letters import FEW, runs_of
from billets.services import CutItem
from billets.units import System
from billets.wording import rip_sentences, said, size, whole
from quotes.sheets.words import mass_text


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
        count=_("{count} pieces").format(count=whole(len(spec.order))),
        rows=tuple(
            _stack_row(figures, letter, pieces, system)
            for letter, pieces in sorted(Counter(spec.order).items())
        ),
        total=mass_text(figures.plain.start_mass, system),
        cuts=tuple(_cut_sentence(item, system) for item in figures.cuts),
    )


def order_text(order: str) -> str:
    """Write the order of the layers so that it can be counted at the anvil.

    >>> order_text("ABABA"), order_text("AB" * 17 + "A"), order_text("A" * 9 + "B" * 4)
    ('A B A B A', '17 × (A B), A', '9 × A, 4 × B')
    """
    if len(order) <= FEW:
        return " ".join(order)
    return ", ".join(_times(times, letters) for times, letters in runs_of(order))


def _times(times: int, letters: str) -> str:
    apart = " ".join(letters)
    if times == 1:
        return apart
    return f"{times} × ({apart})" if len(letters) > 1 else f"{times} × {apart}"


def _stack_row(
    figures: PlanFigures, letter: str, pieces: int, system: System
) -> StackRow:
    spec = figures.spec
    bar = spec.bars[letter]
    mass = pieces * bar.thickness * spec.width * spec.length * bar.steel.density
    return StackRow(
        letter=letter,
        steel=bar.steel.name,
        pieces=whole(pieces),
        size=size((spec.length, spec.width, bar.thickness), system),
        mass=mass_text(mass, system),
    )


def _cut_sentence(item: CutItem, system: System) -> str:
    """Say how the pieces of a letter are cut, and what is left over."""
    line, bar = item.line, item.bar
    text = _(
        "{letter}: {pieces} × {length} from {bars} × {bar} of {bar_length}, {per_bar} "
        "a bar; {left} left over."
    ).format(
        letter=item.letter or _("Core"),
        pieces=whole(line.pieces),
        length=said(line.length, "length", system),
        bars=whole(line.bars),
        bar=size((bar.width, bar.thickness), system),
        bar_length=said(bar.length, "length", system),
        per_bar=whole(line.per_bar),
        left=said(line.left, "length", system),
    )
    return " ".join((text, *rip_sentences(item, system)))
