"""What makes the figure of a billet, and its core on each knife, for the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _

from billets.figures import PlanFigures
from billets.pattern_words import CoreRow, pattern_block
from billets.units import System


def pattern_lines(
    figures: PlanFigures, system: System, label: str | None = None
) -> tuple[str, ...]:
    """Return one line for each figure and core, then how the core shows on knives.

    With the label of a knife, on that one only.
    """
    block = pattern_block(figures, system)
    if block is None:
        return ()
    made = (
        _("{name}: {value}.").format(name=one.label, value=_number(one.value, one.unit))
        for one in block.figures
    )
    own = (row for row in block.rows if label in (None, row.label))
    return (*made, *_cores(own))


def _number(value: str, unit: str) -> str:
    return f"{value}\u00a0{unit}" if unit else value


def _cores(rows: Iterable[CoreRow]) -> Iterator[str]:
    for row in rows:
        line = _("{name}: core beside the edge {margin}")
        if row.line:
            line = _("{name}: core up to {line}, beside the edge {margin}")
        if row.uneven:
            line = _(
                "{name}: core up to {line}, beside the edge {margin}; grind no side "
                "more than {uneven} deeper than the other"
            )
        said = line.format(
            name=row.label, line=row.line, margin=row.margin, uneven=row.uneven
        )
        yield f"{said}."
