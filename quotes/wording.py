"""Money, quantities and verdicts in words, in the language of whoever reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from babel.numbers import format_currency
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.verdict import Verdict
from billets.units import System, local_number, locale_of, show
from quotes.costing import CostLine
from quotes.hours import HoursEstimate
from quotes.money import HUNDRED, quantity, rounded, total
from shop.wording import Saying

QUARTER = Decimal("0.25")

GROUPS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "material": gettext_lazy("Steel and handle"),
        "energy": gettext_lazy("Gas and electricity"),
        "consumable": gettext_lazy("Used up"),
        "labour": gettext_lazy("Hours at the bench"),
        "machine": gettext_lazy("Machines, without their energy"),
    }
)
"""Names of the groups of cost, in the order of the page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """One line of cost as a page shows it."""

    label: str
    quantity: str
    rate: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CostGroup:
    """The lines of one group and what they add up to."""

    label: str
    rows: tuple[CostRow, ...]
    subtotal: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursRow:
    """Attended hours of one row, to the quarter hour, with their band."""

    label: str
    hours: str
    band: str


# --- amounts ---------------------------------------------------------------------


def money_text(amount: Decimal, currency: str) -> str:
    """Write an amount with the places and the sign of its currency."""
    return format_currency(amount, currency, locale=locale_of(spoken()))


def rate_text(rate: Decimal, currency: str) -> str:
    """Write a rate with all its places, so that it can be multiplied by hand."""
    return format_currency(
        rate.normalize(), currency, locale=locale_of(spoken()),
        decimal_quantization=False,
    )  # fmt: skip


def number_text(number: Decimal) -> str:
    """Write a number with the places it has."""
    return local_number(number, spoken(), places=max(0, -_exponent(number)))


def percent_text(percent: Decimal) -> str:
    """Write per cents without idle zeros."""
    return f"{local_number(percent.normalize(), spoken())}\u00a0%"


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


# --- cost ------------------------------------------------------------------------


def cost_groups(lines: Sequence[CostLine], currency: str) -> list[CostGroup]:
    """Return the lines of cost by group, with what each group adds up to."""
    groups = []
    for key, label in GROUPS.items():
        own = [line for line in lines if line.group == key]
        if own:
            groups.append(
                CostGroup(
                    label=str(label),
                    rows=tuple(_cost_row(line, currency) for line in own),
                    subtotal=money_text(total(one.amount for one in own), currency),
                )
            )
    return groups


def _cost_row(line: CostLine, currency: str) -> CostRow:
    label = _(line.label)
    unit = f"\u00a0{_(line.unit)}" if line.unit else ""
    return CostRow(
        label=f"{label}: {line.subject}" if line.subject else label,
        quantity=number_text(line.quantity.normalize()) + unit,
        rate=rate_text(line.rate, currency),
        amount=money_text(line.amount, currency),
    )


def risk_sentence(one_in: Decimal | None) -> str:
    """Say what the line of failures means."""
    if one_in is None:
        return _("No stage is expected to fail, so this adds nothing.")
    return _(
        "One knife in about {count} has to be started again or repaired; this is its "
        "share."
    ).format(count=number_text(rounded(one_in, 0)))


def hours_rows(hours: Iterable[HoursEstimate]) -> list[HoursRow]:
    """Return attended hours by row; the last one is their sum."""
    return [
        HoursRow(
            label=_(one.label) if one.label else _("All"),
            hours=f"{_quarters(one.expected)}\u00a0h",
            band=_("{low} to {high}").format(
                low=_quarters(one.low), high=f"{_quarters(one.high)}\u00a0h"
            ),
        )
        for one in hours
    ]


def _quarters(hours: Decimal) -> str:
    quarters = rounded(hours / QUARTER, 0) * QUARTER
    return local_number(quarters.normalize(), spoken())


# --- billets ---------------------------------------------------------------------


def plan_saying(figures: PlanFigures, system: System) -> Saying:
    """Say whether a billet is enough for its knives, and how sure that is."""
    verdict = figures.verdict
    if verdict is None:
        return Saying(level="warn", text=_("No knife is to come out of this billet."))
    chance = _share(verdict.chance)
    if verdict.enough:
        text = _("Enough with a chance of {chance}: {mass} to spare for {asked}.")
    else:
        text = _short_text(verdict)
    said = text.format(
        chance=chance,
        asked=_share(verdict.asked),
        mass=_mass(abs(verdict.spare), system),
    )
    return Saying(level="ok" if verdict.enough else "warn", text=said)


def _short_text(verdict: Verdict) -> str:
    if "mass" in verdict.failing:
        return _(
            "Short by {mass} for a chance of {asked}; as planned the chance is "
            "{chance}. Fit the stack again before you promise a price."
        )
    if "length" in verdict.failing:
        return _(
            "The bar is likely too short for a chance of {asked}; as planned the "
            "chance is {chance}. Draw it longer before you promise a price."
        )
    return _(
        "The bar is likely too thin for a chance of {asked}; as planned the chance is "
        "{chance}. Draw it thicker before you promise a price."
    )


def origin_sentence(billets: int, *, calibrated: bool) -> str:
    """Say what the loss of steel is known from."""
    if calibrated:
        return _("From {count} weighed billets of this shop.").format(count=billets)
    return _(
        "Uncalibrated: physics and trade priors, good to about 0.12 of the steel kept; "
        "three weighed billets of your own are better."
    )


def _share(share: float) -> str:
    """Write a chance; no number of draws makes one certain."""
    whole = quantity(100 * share, 0)
    if not 0 < whole < HUNDRED:
        return _("more than 99 %") if whole else _("less than 1 %")
    return percent_text(whole)


def _mass(mass: float, system: System) -> str:
    return show(mass, "mass", system, language=spoken())
