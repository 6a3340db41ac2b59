"""What steel, gas and time cost, as plain numbers handed in from outside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitCosts:
    """Costs in one currency, whichever it is; the billet knows no prices.

    Attributes
    ----------
    steel : mapping of str to float
        A kilogram of each steel, by its key [currency/kg].
    gas : float
        A kilogram of gas [currency/kg].
    hour : float
        An attended hour at the forge [currency/h].
    short : float or None
        What is lost when a billet falls short; None for what making it cost
        [currency].
    """

    steel: Mapping[str, float]
    gas: float
    hour: float
    short: float | None = None
