"""From a quote and what was written down to what the order really took.

The rates are those of the quote, so that only the guess is judged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from quotes.after.compared import Comparison, LineCompared, RowCompared
from quotes.after.taken import Lost, Reckoned, Source, Taken, Written
from quotes.costing import CostLine
from quotes.hours import PLACES as HOUR_PLACES
from quotes.money import ZERO, money, rounded, total
from shop import stages

MASS_PLACES = ENERGY_PLACES = 3
GRINDER_STAGES = ("grind", "finish")
TOOL_ROWS = ("billet", "blade_forging")
"""The rows of hours in which press or power hammer run."""
GRINDER_ROWS = tuple(
    dict.fromkeys(
        row
        for stage in stages.STAGES
        if stage.key in GRINDER_STAGES
        for row, _share in stage.hours
    )
)
"""The rows of hours in which the grinder runs."""


def compare(reckoned: Reckoned, taken: Taken) -> Comparison:
    """Return an order against its quote.

    Parameters
    ----------
    reckoned : Reckoned
        The accepted quote, as it was frozen.
    taken : Taken
        What was written down at the bench.

    Returns
    -------
    Comparison
        Every line and every row of hours, with what the order earned.
    """
    rows = tuple(
        RowCompared(
            row=row,
            label=reckoned.labels.get(row, row),
            estimated=estimated,
            written=taken.rows.get(row, Written()),
        )
        for row, estimated in reckoned.hours.items()
    )
    return Comparison(
        reckoned=reckoned,
        taken=taken,
        rows=rows,
        lines=tuple(_line(reckoned, taken, rows, one) for one in reckoned.lines),
        failures=_failures(reckoned, taken.lost),
        lost=_lost_cost(reckoned, taken.lost),
    )


def _line(
    reckoned: Reckoned, taken: Taken, rows: Sequence[RowCompared], line: CostLine
) -> LineCompared:
    quantity, source = _actual(reckoned, taken, rows, line)
    return LineCompared(
        line=line,
        quantity=quantity,
        amount=money(quantity * line.rate, reckoned.currency),
        source=source,
    )


def _actual(
    reckoned: Reckoned, taken: Taken, rows: Sequence[RowCompared], line: CostLine
) -> tuple[Decimal, Source]:
    """Return how much a line really took, and where that is known from."""
    if line.key in ("steel", "gas"):
        written = taken.steel if line.key == "steel" else taken.gas
        whole = reckoned.sum_of(line.key)
        part = line.quantity / whole
        mass = rounded(written.counted(whole) * part, MASS_PLACES)
        return mass, written.source
    more = {row.row: row.counted - row.estimated for row in rows}
    driven_by = _driven_by(line.key, reckoned)
    own = [row for row in rows if row.row in driven_by]
    if not own:
        return line.quantity, "estimated"
    return _hours_more(line, reckoned, more), _source(line.key, own)


def _hours_more(
    line: CostLine, reckoned: Reckoned, more: Mapping[str, Decimal]
) -> Decimal:
    """Return how much a line takes with so many more hours than its quote."""
    if line.key != "labour":
        return line.quantity + _more(line.key, reckoned, more)
    if not any(more.values()):
        # Rows are rounded one by one, so their sum may miss the line's by 0.0001 h.
        return line.quantity
    return rounded(total([*reckoned.hours.values(), *more.values()]), HOUR_PLACES)


def _driven_by(key: str, reckoned: Reckoned) -> tuple[str, ...]:
    """Return the rows of hours that a line goes by."""
    if key == "electricity" and not _current(reckoned):
        return ()
    return {
        "labour": tuple(reckoned.hours),
        "grinder": GRINDER_ROWS,
        "forging_tool": TOOL_ROWS,
        "electricity": (*TOOL_ROWS, *GRINDER_ROWS),
    }.get(key, ())


def _source(key: str, rows: Sequence[RowCompared]) -> Source:
    if all(row.written.complete for row in rows):
        return "recorded" if key == "labour" else "hours"
    begun = any(row.written.recorded for row in rows)
    return "part" if begun else "estimated"


def _more(key: str, reckoned: Reckoned, hours: Mapping[str, Decimal]) -> Decimal:
    """Return how much more of machine or current so many more hours take."""
    if key == "electricity":
        grinding, forging = _current(reckoned) or (ZERO, ZERO)
        return rounded(
            _machine("grinder", reckoned, hours) * grinding
            + _machine("forging_tool", reckoned, hours) * forging,
            ENERGY_PLACES,
        )
    return rounded(_machine(key, reckoned, hours), HOUR_PLACES)


def _machine(key: str, reckoned: Reckoned, hours: Mapping[str, Decimal]) -> Decimal:
    """Return the hours a machine runs in so many hours, in the quote's proportion."""
    rows = GRINDER_ROWS if key == "grinder" else TOOL_ROWS
    attended = total(reckoned.hours.get(row, ZERO) for row in rows)
    own = total(hours.get(row, ZERO) for row in rows)
    return reckoned.sum_of(key) * own / attended if attended else ZERO


def _current(reckoned: Reckoned) -> tuple[Decimal, Decimal] | None:
    """Return what grinder and forging tool draw [kWh/h], if the quote kept it."""
    names = ("kwh_grinder", "kwh_extraction", "kwh_forging_tool")
    if any(name not in reckoned.rates for name in names):
        return None
    grinder, extraction, tool = (reckoned.rates[name] for name in names)
    return grinder + extraction, tool


def _failures(reckoned: Reckoned, lost: Lost) -> LineCompared:
    """Return the share of failures against what scrapped knives took."""
    risk, spent = reckoned.risk, _lost_cost(reckoned, lost)
    source: Source = "part" if spent else "estimated"
    return LineCompared(
        line=risk,
        quantity=risk.quantity,
        amount=spent if lost.final else max(spent, risk.amount),
        source="recorded" if lost.final else source,
    )


def _lost_cost(reckoned: Reckoned, lost: Lost) -> Decimal:
    return _lost_labour(reckoned, lost) + total(
        money(_lost_of(line, reckoned, lost) * line.rate, reckoned.currency)
        for line in reckoned.lines
    )


def _lost_labour(reckoned: Reckoned, lost: Lost) -> Decimal:
    return money(total(lost.hours.values()) * reckoned.hour, reckoned.currency)


def _lost_of(line: CostLine, reckoned: Reckoned, lost: Lost) -> Decimal:
    """Return how much of a line went into scrapped knives, labour left out."""
    if line.key in ("steel", "gas"):
        mass = lost.steel if line.key == "steel" else lost.gas
        return mass * line.quantity / reckoned.sum_of(line.key)
    if line.key != "labour" and _driven_by(line.key, reckoned):
        return _more(line.key, reckoned, lost.hours)
    return ZERO
