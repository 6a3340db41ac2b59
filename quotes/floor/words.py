"""A floor price in words: what to say aloud, and what stands behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from types import MappingProxyType

from babel.numbers import format_currency
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.families import FAMILY_LABELS
from billets.units import System, local_number, locale_of
from billets.verdicts import verdict_saying
from billets.wording import (
    Figure,
    Saying,
    flag_sayings,
    gas,
    mass,
    neat,
    origin,
    said,
    share,
    whole,
)
from quotes.costing import CostLines
from quotes.floor.ahead import SURE, Ahead
from quotes.floor.answer import Earned, FloorPrice, percent_of
from quotes.floor.knife import HANDLE_CLASSES, class_of
from quotes.money import total
from quotes.wording import (
    hours_rows,
    learned_sentence,
    money_text,
    number_text,
    percent_text,
    risk_sentence,
)
from shop.weeks import in_words

SPOKEN: Mapping[str, str] = MappingProxyType(
    {
        "layers": gettext_noop("in plain layers"),
        "twist": gettext_noop("in a twist pattern"),
        "ladder": gettext_noop("in a ladder pattern"),
        "dimples": gettext_noop("in a dimple pattern"),
        "core": gettext_noop("in layers over a core"),
    }
)
"""Classes of pattern as a sentence says them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorView:
    """A floor price as its page shows it.

    Attributes
    ----------
    aloud : str
        The one sentence to say.
    named : Saying or None
        What the price the caller named would earn.
    figures : tuple of Figure
        Floor, asked price, deposit.
    rows : tuple of (str, str)
        Hours, steel, gas and bar in short.
    origin, learned, failures : str
        What the numbers are known from, and what failures make of them.
    sayings : tuple of Saying
        What to look at twice.
    """

    aloud: str
    named: Saying | None
    figures: tuple[Figure, ...]
    rows: tuple[tuple[str, str], ...]
    origin: str
    learned: str
    failures: str
    sayings: tuple[Saying, ...]


def floor_view(found: FloorPrice, system: System) -> FloorView:
    """Return all that the page says of a floor price."""
    return FloorView(
        aloud=aloud(found, system),
        named=earned_saying(found.earned, found) if found.earned else None,
        figures=tuple(_figures(found)),
        rows=tuple(_rows(found, system)),
        origin=origin(found.figures.beliefs),
        learned=learned_sentence(found.lines.hours),
        failures=risk_sentence(found.lines.one_in),
        sayings=tuple(_sayings(found, system)),
    )


def aloud(found: FloorPrice, system: System) -> str:
    """Return the sentence to say into the telephone, in round money."""
    text = _(
        "A {length} {knife} {pattern} with {handle} starts at {floor}; I would ask "
        "{price}; a deposit of {deposit} holds your place."
    )
    return text.format(
        length=_length(found.spec.length, system),
        knife=_(FAMILY_LABELS[found.spec.family]).partition(",")[0],
        pattern=_(SPOKEN[found.asked.pattern]),
        handle=HANDLE_CLASSES[class_of(found.spec)].spoken,
        floor=round_text(found.floor.gross, found.lines.currency),
        price=round_text(found.price.gross, found.lines.currency),
        deposit=round_text(found.deposit.gross, found.lines.currency),
    )


def _length(length: float, system: System) -> str:
    """Write a length as one says it: in inches as it was typed, else whole."""
    if system == "inch":
        return neat(length, "length", system)
    return said(length, "length", system)


def round_text(amount: Decimal, currency: str) -> str:
    """Write an amount in whole units, rounded up: nobody says cents aloud."""
    up = amount.quantize(Decimal(1), rounding=ROUND_CEILING)
    pattern = "¤#,##0"
    if locale_of(spoken()).language != "en":
        pattern = "#,##0\u00a0¤"
    return format_currency(
        up, currency, pattern, locale=locale_of(spoken()), currency_digits=False
    )


def earned_saying(earned: Earned, found: FloorPrice) -> Saying:
    """Say what a named price would earn an hour, against the shop's hour."""
    money = {
        "named": earned.named.gross,
        "hour": abs(earned.hour),
        "shop": found.labour,
        "missing": earned.missing,
        "floor": found.floor.gross,
    }
    said = {name: money_text(one, found.lines.currency) for name, one in money.items()}
    if earned.missing > 0:
        first = _("{named} is below the floor by {missing}.")
        rest = _("You would earn {hour} an hour after tax and materials, not {shop}.")
        if earned.hour < 0:
            rest = _("It does not pay the materials: every hour would cost you {hour}.")
        return Saying(
            level="stop", first=first.format(**said), rest=rest.format(**said)
        )
    rest = _("You would earn {hour} an hour after tax and materials; your hour is "
             "{shop}.")  # fmt: skip
    if earned.named.gross < found.price.gross:
        first = _("{named} is above the floor, and less than you would ask.")
        return Saying(
            level="warn", first=first.format(**said), rest=rest.format(**said)
        )
    first = _("{named} is no less than you would ask.")
    return Saying(level="ok", first=first.format(**said), rest=rest.format(**said))


def ahead_text(found: Ahead) -> str:
    """Say when the knife would be done, and that it is a guess."""
    hours = local_number(Decimal(round(found.hours)), spoken())
    parts = [_work_ahead(found).format(hours=f"{hours}\u00a0h")]
    if found.chance is not None:
        parts.append(
            _("The chance to be done by the wanted week is {chance}.").format(
                chance=_about(found.chance)
            )
        )
    parts.append(_first_week(found))
    parts.append(
        _("At {week} a week; a rough guess: holidays and leave are not in it.").format(
            week=f"{local_number(Decimal(f'{found.week_hours:.3g}'), spoken())}\u00a0h"
        )
    )
    return " ".join(parts)


def _work_ahead(found: Ahead) -> str:
    if not found.knives:
        return _("No accepted work is ahead of it.")
    return ngettext(
        "About {hours} of accepted work, {count} knife, are ahead of it.",
        "About {hours} of accepted work, {count} knives, are ahead of it.",
        found.knives,
    ).replace("{count}", whole(found.knives))


def _about(chance: float) -> str:
    """Write a chance to the nearest five per cent: it is known no better."""
    near = round(chance * 20) / 20
    said = share(near)
    return said if near in (0.0, 1.0) else _("about {chance}").format(chance=said)


def _first_week(found: Ahead) -> str:
    sure = share(SURE)
    if found.first is None:
        return _("No week of the next ten years has a chance of {sure}.").format(
            sure=sure
        )
    return _("The first week with {sure} is {week}.").format(
        sure=sure, week=in_words(found.first)
    )


# --- what stands behind it ---------------------------------------------------------


def _figures(found: FloorPrice) -> Iterator[Figure]:
    currency, percent = found.lines.currency, percent_of(found.lines)
    taxed = _("Without tax: none is charged.")
    if percent:
        taxed = _("{tax} of it tax, at {percent}.")
    margin = percent_text(found.rates.value("margin"))
    deposit = percent_text(found.rates.value("deposit"))

    def figure(label: str, name: str, source: str) -> Figure:
        amount = getattr(found, name)
        tax = taxed.format(
            tax=money_text(amount.tax, currency), percent=percent_text(percent)
        )
        text = money_text(amount.gross, currency)
        return Figure(label=label, value=text, source=f"{source} {tax}")

    yield figure(_("Floor"), "floor", _("Cost with its failures, no margin."))
    yield figure(
        _("Asked price"), "price",
        _("With a margin of {margin}.").format(margin=margin),
    )  # fmt: skip
    yield figure(
        _("Deposit"), "deposit",
        _("{share} of the asked price.").format(share=deposit),
    )  # fmt: skip


def _rows(found: FloorPrice, system: System) -> Iterator[tuple[str, str]]:
    lines, plain = found.lines, found.figures.plain
    hours = hours_rows(lines.hours)[-1]
    yield (
        _("Hours"),
        _("{hours}, four times in five {band}; with failures {all}").format(
            hours=hours.hours,
            band=hours.band,
            all=f"{number_text(found.hours.quantize(Decimal('0.1')))}\u00a0h",
        ),
    )
    yield (
        _("Steel"),
        _("{mass} stacked, {price}").format(
            mass=mass(_stacked(found.figures), system), price=_paid(lines, "steel")
        ),
    )
    yield (
        _("Gas"),
        _("{mass} for the billet, {price} with the blade's").format(
            mass=gas(plain.gas, system), price=_paid(lines, "gas")
        ),
    )
    yield (
        _("Bar"),
        _("{bar} from a stack {length} long; the knife needs {needed}").format(
            bar=mass(plain.bar_mass, system),
            length=neat(found.figures.spec.length, "length", system),
            needed=mass(found.figures.targets[0].needed, system),
        ),
    )


def _stacked(figures: PlanFigures) -> float:
    return sum(item.mass for item in figures.cuts)


def _paid(lines: CostLines, key: str) -> str:
    return money_text(
        total(line.amount for line in lines.lines if line.key == key), lines.currency
    )


def _sayings(found: FloorPrice, system: System) -> Iterator[Saying]:
    """Yield what stands against the price: a bar too small, steel that burns, sizes."""
    verdict = found.figures.verdict
    if verdict is not None and not verdict.enough:
        yield verdict_saying(found.figures, system)
    serious = [flag for flag in found.figures.flags if flag.level == "red"]
    odd = [flag for flag in found.result.flags if flag.level != "note"]
    yield from flag_sayings([*serious, *odd], system)
