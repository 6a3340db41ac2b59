"""An estimate as text for a terminal, with the words that pages and papers use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.messages import spoken
from billets.physics.families import FAMILY_LABELS
from billets.units import label_unit, local_number, show
from billets.verdicts import fit_text, verdict_saying
from billets.wording import (
    CAUSES,
    bare,
    ends,
    gas,
    mass,
    neat,
    origin,
    said,
    share,
    whole,
)
from quotes.estimate.chain import Estimate
from quotes.estimate.report import first_word, warnings_of
from quotes.rate_items import ITEM_OF
from quotes.sheets.billet import billet_plan
from quotes.sheets.stack import stack_list
from quotes.wording import (
    cost_groups,
    hours_rows,
    learned_sentence,
    money_text,
    percent_text,
    risk_sentence,
)
from shop.wording import knife_figures

Row = Sequence[str]

GAP = "  "


def as_text(done: Estimate) -> str:
    """Return an estimate the way a smith reads it."""
    parts = (_knives, _billet, _steps, _hours, _cost, _price, _notes)
    text = "\n\n".join("\n".join(part(done)) for part in parts)
    return text.replace("\u00a0", " ")


def table(rows: Iterable[Row], *, left: int = 1) -> Iterator[str]:
    """Yield rows as lines with columns below one another, the first ones to the left.

    >>> list(table([("steel", "1.2 kg"), ("gas", "12 kg")]))
    ['steel  1.2 kg', 'gas     12 kg']
    """
    kept = [tuple(row) for row in rows]
    widths = [max(map(len, column)) for column in zip(*kept, strict=True)]
    for row in kept:
        cells = [
            cell.ljust(width) if place < left else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield GAP.join(cells).rstrip()


# --- knives and billet -----------------------------------------------------------


def _knives(done: Estimate) -> Iterator[str]:
    for entry, spec, result in done.knives:
        size = neat(spec.length, "length", done.system)
        kind = _(FAMILY_LABELS[spec.family]).partition(",")[0]
        yield f"{entry.name}: {kind}, {size}"
        rows = [
            (f"{GAP}{one.label}", f"{one.value} {one.unit}", one.band)
            for one in knife_figures(spec, result, done.system)
        ]
        yield from table(rows)


def _billet(done: Estimate) -> Iterator[str]:
    plan, stack = done.plan, stack_list(done.plan, done.system)
    verdict = verdict_saying(plan, done.system)
    yield f"{verdict.first}: {verdict.rest}"
    if done.fit:
        yield fit_text(done.fit, done.system)
        chance = show(done.fit.chance, "percent", places=1, language=spoken())
        yield _("With that the chance is {chance}.").format(chance=chance)
    yield origin(plan.beliefs)
    yield from _first_word(done)
    yield ""
    yield from table(_totals(done))
    yield _("Lost: {causes}.").format(causes=_losses(done))
    yield _("{layers} layers by multiplication, {distinct} can be told apart.").format(
        layers=whole(plan.plain.layers), distinct=whole(plan.plain.distinct)
    )
    yield ""
    yield _("Stack from the bottom: {order}").format(order=stack.order)
    rows = [
        (one.letter, one.steel, one.pieces, one.size, one.mass) for one in stack.rows
    ]
    yield from table(rows, left=2)
    yield _("To cut:")
    yield from stack.cuts


def _first_word(done: Estimate) -> Iterator[str]:
    word, welds = first_word(done), done.plan.plain.welds
    if word is None:
        return
    yield ngettext(
        "To compare: told cases with {welds} weld keep {middle} ({low} to {high}), "
        "this plan {retained}.",
        "To compare: told cases with {welds} welds keep {middle} ({low} to {high}), "
        "this plan {retained}.",
        welds,
    ).format(
        welds=whole(welds),
        middle=share(word.middle),
        low=bare(share(word.low)),
        high=share(word.high),
        retained=share(float(done.plan.plain.retained)),
    )


def _totals(done: Estimate) -> Iterator[Row]:
    """Yield what the plan comes to, with its bands where it has one."""
    plain, bands = done.plan.plain, done.plan.sampled.totals
    yield (_("Stack to weld"), mass(plain.start_mass, done.system), "")
    if float(plain.added) > 0.0:
        yield (_("Cores laid in"), mass(plain.added, done.system), "")
    rows = [(_("Forged bar"), "bar_mass", "mass")]
    if plain.clean:
        rows += [(_("Bar trimmed or ground after it"), "clean_mass", "mass")]
    rows += [
        (_("Share kept"), "retained", "percent"),
        (_("Forge lit"), "forge_seconds", "duration"),
        (_("Attended at the forge"), "attended_seconds", "hours"),
    ]
    for label, name, kind in rows:
        value = said(getattr(plain, name), kind, done.system)
        yield label, value, ends(bands[name], kind, done.system)
    band = ends(bands["gas"], "mass_kg", done.system, 1)
    yield _("Gas"), gas(plain.gas, done.system), band


def _losses(done: Estimate) -> str:
    loss = done.plan.plain.loss
    return ", ".join(
        f"{label} {mass(getattr(loss, name), done.system)}"
        for name, label in CAUSES.items()
        if name != "pattern" or float(loss.pattern) > 0.0
    )


def _steps(done: Estimate) -> Iterator[str]:
    rows = [
        (
            f"{one.number}  {one.name}", one.mass, one.band, one.cold, one.layers,
            one.heats, one.minutes,
        )
        for one in billet_plan(done.plan, done.system).rows
    ]  # fmt: skip
    head = (
        _("step"), _("mass"), _("4 in 5 within"), _("cold size"), _("layers"),
        _("heats"), _("time"),
    )  # fmt: skip
    yield from table([head, *rows])


# --- money -----------------------------------------------------------------------


def _hours(done: Estimate) -> Iterator[str]:
    """Yield hours by row; a billet's band is that of its plan, unless it is learned."""
    band = ends(done.plan.sampled.totals["attended_seconds"], "hours", done.system)
    plan = f"{band} {label_unit('hours')}"
    rows = [
        (
            said.label, said.hours,
            said.band if one.row != "billet" or one.count else plan,
        )
        for one, said in zip(
            done.lines.hours, hours_rows(done.lines.hours), strict=True
        )
    ]  # fmt: skip
    yield from table([(_("hours"), "", _("4 in 5 within")), *rows])
    yield learned_sentence(done.lines.hours)


def _cost(done: Estimate) -> Iterator[str]:
    currency = done.lines.currency
    rows: list[Row] = []
    for group in cost_groups(done.lines.lines, currency):
        rows.append((group.label, "", "", group.subtotal))
        rows += [
            (GAP + one.label, one.quantity, one.rate, one.amount) for one in group.rows
        ]
    yield from table(rows)


def _price(done: Estimate) -> Iterator[str]:
    lines, price = done.lines, done.lines.price
    tax = percent_text(price.taxes[0].percent) if price.taxes else ""
    amounts = [
        (_("Direct cost"), lines.direct),
        (_("Failures, {share}").format(share=percent_text(lines.risk.quantity)),
         lines.risk.amount),
        (_("Margin"), price.margin),
        (_("Net"), price.net),
        (_("Tax {rate}").format(rate=tax).strip(), price.whole.tax),
        (_("Price"), price.whole.gross),
    ]  # fmt: skip
    if len(lines.knives) > 1:
        amounts += [(GAP + one.name, one.gross) for one in lines.knives]
    amounts.append((_("Deposit on it"), price.deposit.gross))
    rows = [(label, money_text(amount, lines.currency)) for label, amount in amounts]
    yield from table(rows)
    yield risk_sentence(lines.one_in)


def _notes(done: Estimate) -> Iterator[str]:
    yield _rates(done)
    if done.rates.overridden:
        labels = [_(ITEM_OF[key].label) for key in done.rates.overridden]
        yield _("For this job only: {rates}.").format(rates="; ".join(labels))
    for warning in warnings_of(done):
        yield f"{warning['field']}: {warning['message']}"
    yield _("Seed {seed}, {draws} draws.").format(
        seed=done.seed, draws=local_number(Decimal(done.plan.sampled.draws), spoken())
    )


def _rates(done: Estimate) -> str:
    day = done.rates.valid_from.isoformat()
    if done.rates.source == "shop":
        return _("Rates: the shop's own, in force from {day}.").format(day=day)
    return _(
        "Rates: shipped, common practice or invented, in force from {day}; "
        "put in your own."
    ).format(day=day)
