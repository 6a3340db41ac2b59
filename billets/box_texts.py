"""A number as it stands in a box nobody has typed into."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from billets.grammar import write_number
from billets.messages import spoken
from billets.units import DISPLAYS, System, decimal_mark, edit


def size_text(
    value: float, kind: str, system: System, rounding: str = ROUND_HALF_UP
) -> str:
    """Return a round number for a box, no finer than paper shows it."""
    shown = DISPLAYS[kind].inch if system == "inch" else DISPLAYS[kind].metric
    amount = Decimal(edit(value, kind, system)).quantize(
        Decimal(1).scaleb(-shown.places), rounding
    )
    return write_number(amount, decimal_mark(spoken()))
