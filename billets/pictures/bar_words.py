"""Where the knives lie along a bar, in words and numbers."""

from __future__ import annotations

from collections.abc import Iterator

from babel.lists import format_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.messages import spoken
from billets.physics.bar_layout import BarLayout, Piece
from billets.units import System, locale_of
from billets.wording import said, whole


def bar_rows(
    layout: BarLayout, width: float, system: System
) -> Iterator[tuple[str, str]]:
    """Yield what the picture says, as label and text."""
    yield (
        _("Bar"),
        _("{length} long, {width} wide").format(
            length=said(layout.length, "length", system),
            width=said(width, "length", system),
        ),
    )
    for place, piece in enumerate(layout.pieces, start=1):
        yield f"{whole(place)}  {piece.label}", _piece_words(piece, system)
    if layout.cuts:
        yield (
            ngettext("Saw cut", "Saw cuts", len(layout.cuts)),
            _("from {places}; each {kerf} wide").format(
                places=format_list(
                    [said(cut, "length", system) for cut in layout.cuts],
                    locale=locale_of(spoken()),
                ),
                kerf=said(layout.kerf, "thickness", system),
            ),
        )
    yield _("Left over"), said(layout.left, "length", system)
    for label, lacking in layout.missing:
        yield (
            _("Does not fit"),
            _("{label}: {length} of bar are missing").format(
                label=label, length=said(lacking, "length", system)
            ),
        )


def alone_rows(layout: BarLayout) -> Iterator[tuple[str, str]]:
    """Yield how many blanks of each knife the bar would give by itself."""
    for label, count in layout.alone:
        text = ngettext(
            "{count} blank from this bar", "{count} blanks from this bar", count
        ).format(count=whole(count))
        yield _("{label} alone").format(label=label), text


def _piece_words(piece: Piece, system: System) -> str:
    """Say where tang, heel and tip of a piece lie along the bar."""
    words = {
        "length": said(piece.length, "length", system),
        "tang": said(piece.tang_end, "length", system),
        "tip": said(piece.tip, "length", system),
    }
    if piece.heel is None:
        return _("{length}: tang end at {tang}, tip end at {tip}").format(**words)
    heel = said(piece.heel, "length", system)
    return _("{length}: tang end at {tang}, heel at {heel}, tip end at {tip}").format(
        heel=heel, **words
    )


def bar_notes(layout: BarLayout) -> Iterator[str]:
    """Yield what to know when reading the picture."""
    yield _("Measured from the bar's left end; a saw cut lies between two pieces.")
    if any(not piece.flat for piece in layout.pieces):
        yield _("A piece that is forged is as long as its mass; it grows in the fire.")
    if any(piece.stub > 0.0 for piece in layout.pieces):
        yield _("Hatched: stub for the tongs and ends, cropped off later.")
    if len([piece for piece in layout.pieces if piece.flat]) > 1:
        yield _("Outlines lie head to tail.")
