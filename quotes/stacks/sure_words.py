"""How sure a billet is, in words and amounts, in the shop's units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets import choices
from billets.messages import sentence, spoken
from billets.physics.drivers import Driver, Drivers
from billets.physics.errors import PlanError
from billets.physics.lengths import MILLIMETRE
from billets.physics.sure import SureStack
from billets.units import System, local_number
from billets.wording import gas, mass, neat, said, share, whole
from quotes.money import money, quantity
from quotes.stacks.costs import CheapestStack, Making, Priced
from quotes.stacks.sure_chart import drivers_chart
from quotes.stacks.sureness import Sureness
from quotes.wording import money_text

LEAST_CHANCE, MOST_CHANCE = 1, 99
"""What a plan may ask for, in per cent [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StackRow:
    """One stack of the table, as text; a refusal where there is none.

    Attributes
    ----------
    name, more, refusal : str
        Which it is, what else is to be said of that, and why there is none.
    chance, length, mass, spare, formula : str
        What it is; empty where nothing is to be said.
    steel, cost : str
        Amounts, empty where the shop has no rates.
    millimetres, percent : int
        What is taken with its button; no button where there are none.
    """

    name: str
    more: str = ""
    refusal: str = ""
    chance: str = ""
    length: str = ""
    mass: str = ""
    spare: str = ""
    formula: str = ""
    steel: str = ""
    cost: str = ""
    millimetres: int = 0
    percent: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverRow:
    """What one factor does, as text."""

    name: str
    share: str
    low: str
    at_low: str
    high: str
    at_high: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverWords:
    """What makes a bar uncertain: in a sentence, a table and a picture."""

    first: str
    rows: tuple[DriverRow, ...]
    together: str
    middle: str
    chart: SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """What is needed to say what stacks cost."""

    priced: Priced
    short: Decimal
    currency: str

    def of(self, amount: float) -> str:
        """Write an amount."""
        return money_text(money(quantity(amount, 6), self.currency), self.currency)

    def more(self, amount: float) -> str:
        """Write an amount with its sign; nothing has none."""
        written, nothing = self.of(abs(amount)), self.of(0.0)
        if written == nothing:
            return nothing
        return f"+{written}" if amount > 0 else f"\u2212{written}"


# --- stacks --------------------------------------------------------------------------


def stack_rows(
    found: Sureness, amounts: Amounts | None, system: System
) -> list[StackRow]:
    """Return the stack as planned now and the ones for the usual chances."""
    pieces = len(found.spec.order)
    rows = []
    if found.now is not None:
        rows.append(_row(_("As planned now"), found.now, pieces, amounts, system))
    for one in found.chances:
        row = _row(share(one.asked), one.stack, pieces, amounts, system)
        if isinstance(one.stack, SureStack):
            row = _offered(row, one.stack, one.asked, one.formula, system)
        rows.append(row)
    return rows


def cheapest_rows(
    found: Sureness, cheapest: CheapestStack, amounts: Amounts, system: System
) -> list[StackRow]:
    """Return the cheapest stack as a row of the same table; no row if none pays."""
    stack = cheapest.stack
    if stack is None:
        return []
    row = _row(_("Cheapest"), stack, len(found.spec.order), amounts, system)
    more = _("if a short billet costs {sum}").format(
        sum=money_text(cheapest.short, amounts.currency)
    )
    row = replace(row, more=more)
    return [_offered(row, stack, stack.chance, cheapest.formula, system)]


def _row(
    name: str,
    stack: SureStack | PlanError,
    pieces: int,
    amounts: Amounts | None,
    system: System,
) -> StackRow:
    if isinstance(stack, PlanError):
        return StackRow(name=name, refusal=sentence(stack, system))
    return StackRow(
        name=name,
        chance=share(stack.chance),
        length=_("{count} × {length}").format(
            count=whole(pieces), length=neat(stack.length, "length", system)
        ),
        mass=mass(stack.start_mass, system),
        spare=mass(stack.spare, system),
        steel=amounts.more(amounts.priced.steel_more(stack.length)) if amounts else "",
        cost=amounts.of(amounts.priced.with_risk(stack, amounts.short))
        if amounts
        else "",
    )


def _offered(
    row: StackRow,
    stack: SureStack,
    asked: float,
    formula: float | None,
    system: System,
) -> StackRow:
    """Return a row with its button, and what the formula says of it."""
    percent = int(100.0 * asked + 1e-9)
    return replace(
        row,
        formula=_by_formula(stack.length, formula, system),
        millimetres=round(stack.length / MILLIMETRE),
        percent=min(max(percent, LEAST_CHANCE), MOST_CHANCE),
    )


def _by_formula(length: float, formula: float | None, system: System) -> str:
    """Say how much longer or shorter the closed form makes a stack."""
    if formula is None:
        return _("none")
    apart = formula - length
    size = said(abs(apart), "length", system)
    if size == said(0.0, "length", system):
        return _("the same")
    text = _("{size} more") if apart > 0 else _("{size} less")
    return text.format(size=size)


def making_text(making: Making, amounts: Amounts, system: System) -> str:
    """Say what making the billet costs, and of what that is made."""
    return _(
        "Making this billet costs {whole} by the rates: steel {steel}, {mass} of gas "
        "{gas}, {hours} at the forge {time}."
    ).format(
        whole=amounts.of(making.whole),
        steel=amounts.of(making.steel),
        mass=gas(making.mass, system),
        gas=amounts.of(making.gas),
        hours=said(making.hours * 3600.0, "hours", system),
        time=amounts.of(making.time),
    )


def cheapest_text(cheapest: CheapestStack, amounts: Amounts, system: System) -> str:
    """Say which stack is the cheapest, or that none pays."""
    sum_text = money_text(cheapest.short, amounts.currency)
    if cheapest.stack is None:
        return _(
            "If a short billet costs {sum}, no stack pays: the steel for it costs "
            "more. Keep to the chance you ask for."
        ).format(sum=sum_text)
    return _(
        "If a short billet costs {sum}, a stack of {length} is the cheapest: it "
        "suffices with a chance of {chance}."
    ).format(
        sum=sum_text,
        length=neat(cheapest.stack.length, "length", system),
        chance=share(cheapest.stack.chance),
    )


# --- drivers -------------------------------------------------------------------------


def driver_words(found: Drivers, system: System) -> DriverWords:
    """Say what makes the bar uncertain, the largest cause first."""
    known = {**dict(choices.factor()), "weld_heats": _("heats a weld really takes")}
    plain = [str(known[row.name]) for row in found.rows]
    named = list(zip(map(capfirst, plain), found.rows, strict=True))
    together = _("several of them together")
    chart = [(name, row.share) for name, row in named]
    if found.together >= 0.005:
        chart.append((capfirst(together), found.together))
    return DriverWords(
        first=_first(plain),
        rows=tuple(_driver_row(name, row, system) for name, row in named),
        together=share(found.together),
        middle=mass(found.middle, system),
        chart=drivers_chart(chart),
    )


def _first(names: list[str]) -> str:
    """Say which causes to write down first."""
    if not names:
        return _("Nothing that is believed of this shop moves the mass of the bar.")
    return _(
        "Most of it comes from these: {names}. What you weigh and measure there "
        "narrows the band most."
    ).format(names="; ".join(names[:2]))


def _driver_row(name: str, row: Driver, system: System) -> DriverRow:
    low, high = _ends(row)
    return DriverRow(
        name=name,
        share=share(row.share),
        low=low,
        at_low=mass(row.at_low, system),
        high=high,
        at_high=mass(row.at_high, system),
    )


def _ends(row: Driver) -> Iterator[str]:
    """Yield what a factor is at its two ends, against the usual."""
    for value in (row.low, row.high):
        if row.name == "weld_heats":
            yield _heats(round(value))
        else:
            times = local_number(Decimal(str(value / row.usual)), spoken(), places=2)
            yield _("{number} times").format(number=times)


def _heats(more: int) -> str:
    if more < 0:
        text = ngettext("{count} heat less", "{count} heats less", -more)
    else:
        text = ngettext("{count} heat more", "{count} heats more", more)
    return text.format(count=whole(abs(more)))
