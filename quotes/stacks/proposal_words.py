"""Proposed stacks in words, numbers and amounts, in the shop's units."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from babel.lists import format_list
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.letters import runs_of
from billets.messages import spoken
from billets.physics.first_stacks import BarOffer
from billets.physics.proposal import Proposals
from billets.physics.proposal_rows import ProposalRow
from billets.physics.steps import Cut, Fold
from billets.units import System, locale_of, show
from billets.wording import (
    bare,
    ends,
    gas,
    mass,
    neat,
    said,
    share,
    whole,
    whole_ends,
)  # fmt: skip
from quotes.money import money, quantity
from quotes.stacks.proposing import StacksAsked
from quotes.wording import money_text

REASONS: Mapping[str, object] = {
    "layers": gettext_lazy("their layers lie outside your wish"),
    "wide": gettext_lazy("the bar would have to spread too wide"),
    "door": gettext_lazy("a stack does not pass the forge door"),
    "hot": gettext_lazy("a welding heat would burn the steel"),
    "tool": gettext_lazy("the press does not move them"),
    "pieces": gettext_lazy("pieces of a restack come out too short"),
    "tall": gettext_lazy("the first stack is too tall for its length"),
    "long": gettext_lazy("the stack is longer than the bars"),
    "short": gettext_lazy("they never give enough steel so surely"),
    "dear": gettext_lazy("they cost clearly more than the best"),
}
"""Why chains are left out, as a sentence goes on."""

WAYS: Mapping[str, object] = {
    "layers": gettext_lazy(
        "Ask for a wider range of layers, or offer thinner or thicker bars."
    ),
    "wide": gettext_lazy("Offer wider bars, or make the wide knife from another one."),
    "door": gettext_lazy("Choose a forge with a bigger door, or offer narrower bars."),
    "hot": gettext_lazy("Choose steels with less carbon."),
    "tool": gettext_lazy("Choose a bigger press or the hammer, or narrower bars."),
    "pieces": gettext_lazy(
        "Let more knives come out of the billet, offer narrower bars, or ask for fewer "
        "layers."
    ),
    "tall": gettext_lazy(
        "Let more knives come out of the billet, or offer narrower bars."
    ),
    "long": gettext_lazy("Offer longer or wider bars, or choose fewer knives."),
    "short": gettext_lazy("Ask for fewer layers or for a smaller chance."),
    "dear": gettext_lazy("Ask for another range of layers."),
}
"""What to do where one reason leaves nothing."""


HEADS = (
    gettext_lazy("Stack"),
    gettext_lazy("To weld"),
    gettext_lazy("Layers"),
    gettext_lazy("A layer at the spine"),
    gettext_lazy("Welds"),
    gettext_lazy("Heats"),
    gettext_lazy("Attended"),
    gettext_lazy("Gas"),
    gettext_lazy("Expected cost"),
    gettext_lazy("Suffices with"),
)
"""The columns of the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalText:
    """One proposed stack as text.

    Attributes
    ----------
    rank, stack, work : str
        Its place, what is laid, and what is cut or folded.
    cells : tuple of (str, str, str)
        Name of the column, the figure, and what stands below it: the band in which
        eight billets in ten lie, or what a cost is made of.
    """

    rank: str
    stack: str
    work: str
    cells: tuple[tuple[str, str, str], ...]


def proposal_texts(
    found: Proposals, currency: str, system: System
) -> list[ProposalText]:
    """Return every row of the list."""
    return [
        ProposalText(
            rank=whole(rank),
            stack=stack_text(row, system),
            work=work_text(row),
            cells=tuple(
                (str(name), *figure)
                for name, figure in zip(
                    HEADS[1:], _figures(row, currency, system), strict=True
                )
            ),
        )
        for rank, row in enumerate(found.rows, start=1)
    ]


def _figures(
    row: ProposalRow, currency: str, system: System
) -> tuple[tuple[str, str], ...]:
    places = 3 if system == "metric" else 5
    layer = show(row.layer_thickness, "fine", system, places, spoken())
    made = _("{sum} to make").format(sum=amount_text(row.making, currency))
    bands = row.bands
    return (
        (mass(row.start_mass, system), ""),
        (whole(row.distinct), ""),
        (layer if row.layer_thickness else "–", ""),
        (whole(row.welds), ""),
        (whole(row.heats), whole_ends(bands["heats"])),
        (said(row.seconds, "hours", system),
         ends(bands["attended_seconds"], "hours", system)),
        (gas(row.gas, system), ends(bands["gas"], "mass_kg", system, 1)),
        (amount_text(row.cost, currency), made),
        (share(row.chance), ""),
    )  # fmt: skip


def amount_text(amount: float, currency: str) -> str:
    """Write what was reckoned as a plain number as money."""
    return money_text(money(quantity(amount, 6), currency), currency)


# --- the stack -----------------------------------------------------------------------


def stack_text(row: ProposalRow, system: System) -> str:
    """Say a stack: 15 pieces: 8 × 1084 4 mm + 7 × 15N20 2 mm, 150 × 40 mm."""
    counts = Counter(row.order)
    laid = " + ".join(
        _("{count} × {bar}").format(count=whole(counts[letter]), bar=_bar(bar, system))
        for letter, bar in _lettered(row)
    )
    stack = row.plan.stack
    length, width = (
        neat(float(side), "length", system) for side in (stack.length, stack.width)
    )
    return ngettext(
        "{count} piece: {laid}, {length} × {width}",
        "{count} pieces: {laid}, {length} × {width}",
        len(row.order),
    ).format(count=whole(len(row.order)), laid=laid, length=bare(length), width=width)


def _lettered(row: ProposalRow) -> list[tuple[str, BarOffer]]:
    """Return the letters of an order with their bars, from the bottom of the stack."""
    bars = dict(zip(sorted(set(row.order)), row.bars, strict=True))
    return [(letter, bars[letter]) for letter in dict.fromkeys(row.order)]


def _bar(bar: BarOffer, system: System) -> str:
    return f"{bar.steel.name} {neat(bar.thickness, 'thickness', system)}"


def work_text(row: ProposalRow) -> str:
    """Say how a stack is laid if that is no plain turn, and what is cut or folded."""
    said_of = [_("cut in {count}").format(count=whole(step.pieces))
               if isinstance(step, Cut) else _("fold")
               for step in row.plan.steps if isinstance(step, Cut | Fold)]  # fmt: skip
    return "; ".join([*_turns(row), *(said_of or [_("no cut, no fold")])])


def _turns(row: ProposalRow) -> list[str]:
    """Say in which order three steels follow one another."""
    named = {letter: bar.steel.name for letter, bar in _lettered(row)}
    if len(named) == 2:
        return []
    _times, period = runs_of(row.order)[0]
    if len(period) < len(named):
        period = row.order[:4]
    turn = ", ".join(named[letter] for letter in period)
    return [_("from the bottom {turn} in turn").format(turn=turn)]


def asked_text(asked: StacksAsked) -> str:
    """Say what was asked for, for whoever reads the list on paper."""
    wish = asked.wish
    steels = dict.fromkeys(bar.steel.name for bar in asked.bars)
    text = _("{layers} layers of {steels} for {knives}.").format(
        layers=_("{low} to {high}").format(
            low=whole(wish.layers_low), high=whole(wish.layers_high)
        )
        if wish.layers_high > wish.layers_low
        else whole(wish.layers_low),
        steels=_listed(steels),
        knives=_listed(str(one) for one in asked.knives),
    )
    kit = asked.equipment
    made = _("{forge}, {tool}, {saw}.").format(
        forge=kit["forge"], tool=kit["tool"], saw=kit["saw"]
    )
    if wish.chance is None:
        return f"{text} {made}"
    sure = _("Chance of at least {chance}.").format(chance=share(wish.chance))
    return f"{text} {made} {sure}"


def _listed(texts: Iterable[str]) -> str:
    return format_list(list(texts), locale=locale_of(spoken()))


# --- what was left out ---------------------------------------------------------------


def looked_at(found: Proposals) -> str:
    """Say how many chains were looked at, and why how many were left out."""
    count = ngettext(
        "{count} stack looked at", "{count} stacks looked at", found.considered
    ).format(count=whole(found.considered))
    out = [(name, found.dropped[name]) for name in REASONS if found.dropped[name]]
    if not out:
        return _("{looked}, none left out.").format(looked=count)
    # What is only dear is no fault: it stands last.
    out.sort(key=lambda one: (one[0] == "dear", -one[1]))
    because = [
        _("{count} because {reason}").format(count=whole(number), reason=REASONS[name])
        for name, number in out
    ]
    return _("{looked}, {left} left out: {because}.").format(
        looked=count,
        left=whole(sum(number for _name, number in out)),
        because=_listed(because),
    )


def nothing_left(found: Proposals) -> str:
    """Say why no stack is left, and the way out of the most frequent reason."""
    reason = max(REASONS, key=lambda name: found.dropped[name])
    if not found.considered:
        return " ".join(
            (_("No stack of these bars comes near so many layers."),
             str(WAYS["layers"]))
        )  # fmt: skip
    return _("No stack is left: mostly {reason}. {way}").format(
        reason=REASONS[reason], way=WAYS[reason]
    )
