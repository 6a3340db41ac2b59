"""What drives the spread of a billet, drawn: one bar for each factor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from billets.charts import WIDE, drawing, text_at
from billets.wording import share

ROW, BAR = 40.0, 10.0
"""Height of a row, and of the bar in it."""


def drivers_chart(rows: Iterable[tuple[str, float]]) -> SafeString:
    """Draw the share of each cause, named; a full frame is all of the spread."""
    named = list(rows)
    parts = [part for place, row in enumerate(named) for part in _row(place, *row)]
    label = _("What makes the bar uncertain, the largest first: {causes}").format(
        causes=", ".join(f"{name} {share(part)}" for name, part in named)
    )
    return drawing(len(named) * ROW + 4, label, parts)


def _row(place: int, name: str, part: float) -> Iterator[str]:
    top = place * ROW
    yield text_at(0, top + 16, name)
    yield text_at(WIDE, top + 16, share(part), "end")
    frame = f'x="0.5" y="{top + 22:.1f}" height="{BAR:.0f}"'
    yield f'<rect class="edge" {frame} width="{WIDE - 1}"/>'
    long = max(0.0, min(part, 1.0)) * (WIDE - 1)
    yield f'<rect class="dark" {frame} width="{long:.1f}"/>'
