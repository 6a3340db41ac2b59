"""What the shop's knives taught of its hours, in words and numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.messages import spoken
from billets.units import local_number
from quotes.money import HUNDRED, quantity, rounded
from quotes.wording import learned_from, number_text, percent_text, quarters_text
from quotes.work.learned import RowLearned
from shop import stages, work
from shop.learning import Bias

USUAL_WAITING: Mapping[str, str | Promise] = MappingProxyType(
    {
        "forge": gettext_lazy("slow cooling overnight"),
        "harden": gettext_lazy("4 to 5 h to temper"),
        "handle": gettext_lazy("24 h for the glue"),
    }
)
"""What goes on by itself in a stage; common practice, no source."""

NOTHING = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedRow:
    """One row of hours as the page shows it.

    Attributes
    ----------
    label : str
        The row.
    told : str
        The three points, and what they come to.
    typical, p80, band, charged : str
        What was learned; a dash each before the first knife.
    source : str
        From how many knives.
    off : str
        How far the three points are off; empty where nothing can be said.
    """

    label: str
    told: str
    typical: str
    p80: str
    band: str
    charged: str
    source: str
    off: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRow:
    """What goes on by itself in a stage, and how that is known."""

    label: str
    hours: str
    source: str


def learned_rows(rows: Iterable[RowLearned]) -> list[LearnedRow]:
    """Return every row of hours as the page shows it."""
    return [_learned_row(one) for one in rows]


def _learned_row(one: RowLearned) -> LearnedRow:
    known, three = one.forecast, one.three
    shown = _factor if one.row == work.BILLET else _hours
    points = (three.least, three.likely, three.most)
    told = _("{least}, {likely}, {most}: {mean}").format(
        **dict(zip(("least", "likely", "most"), map(_bare, points), strict=True)),
        mean=quarters_text(three.mean),
    )
    return LearnedRow(
        label=_(stages.HOURS_ROWS[one.row]),
        told=told,
        typical=shown(known.median) if known else NOTHING,
        p80=shown(known.p80) if known else NOTHING,
        band=_("{low} to {high}").format(low=shown(known.low), high=shown(known.high))
        if known
        else NOTHING,
        charged=shown(known.mean) if known else _unlearned(one),
        source=learned_from(one.row, known.count if known else 0),
        off=_scattered(one) or off_sentence(one.bias, billet=one.row == work.BILLET),
    )


def _scattered(one: RowLearned) -> str:
    if not one.scattered:
        return ""
    return _(
        "Your hours scatter too much to be used: look at those of {knives}."
    ).format(knives=", ".join(one.scattered))


def _unlearned(one: RowLearned) -> str:
    return _factor(1.0) if one.row == work.BILLET else quarters_text(one.three.mean)


def _hours(hours: float) -> str:
    return quarters_text(quantity(hours))


def _factor(factor: float) -> str:
    """Write what the plan's hours are multiplied with."""
    return f"×\u00a0{local_number(quantity(factor, 2), spoken(), places=2)}"


def _bare(hours: Decimal) -> str:
    return number_text(hours.normalize())


def off_sentence(bias: Bias | None, *, billet: bool) -> str:
    """Say how far the estimates were off, and whether that is more than chance."""
    if bias is None:
        return ""
    if not bias.flagged:
        return _("Not off by more than chance would have it, so far.")
    more = quantity(abs(bias.factor - 1.0), 4) * HUNDRED
    share = percent_text(rounded(more, 0))
    return _off(billet=billet, longer=bias.mean > 0).format(share=share)


def _off(*, billet: bool, longer: bool) -> str:
    if billet:
        if longer:
            return _("The plans say too little: billets took {share} more.")
        return _("The plans say too much: billets took {share} less.")
    if longer:
        return _("Your three points are too low: knives took {share} more.")
    return _("Your three points are too high: knives took {share} less.")


def waiting_rows(waited: Mapping[str, tuple[float, int]]) -> list[WaitingRow]:
    """Return what goes on by itself in each stage, as written or as usual."""
    return [
        _waiting_row(key, waited.get(key))
        for key in stages.bench()
        if key in waited or key in USUAL_WAITING
    ]


def _waiting_row(stage: str, written: tuple[float, int] | None) -> WaitingRow:
    label = _(stages.label_of(stage))
    if written is None:
        usual = _("usual in the trade, none written yet")
        return WaitingRow(label=label, hours=str(USUAL_WAITING[stage]), source=usual)
    hours, count = written
    return WaitingRow(
        label=label, hours=_hours(hours), source=learned_from("", count)
    )  # fmt: skip
