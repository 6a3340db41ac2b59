"""A steel as the metallurgist sees it: what is in it and what its data sheet says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperPoint:
    """A row of a temper table.

    Attributes
    ----------
    temperature : float
        Tempered at [K].
    seconds : float
        For, all tempers together [s].
    hardness : float
        Afterwards [HRC].
    source : str
        Where it comes from.
    own : bool
        Whether the shop entered or measured it itself.
    """

    temperature: float
    seconds: float
    hardness: float
    source: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """Composition and data sheet of a steel; None where nothing is known.

    Attributes
    ----------
    key, name : str
        Short name, and what the smith calls it.
    carbon, manganese, silicon, chromium, nickel, molybdenum, vanadium, tungsten : float
        Nominal contents, mass fraction in percent [%].
    sulphur, phosphorus, copper : float or None
        Highest contents by certificate [%].
    harden_low, harden_high : float or None
        Hardening window by the sheet [K].
    quench : str
        "water", "fast_oil", "oil", "air", or "none" if it does not harden.
    quench_medium : str
        The sheet's own words for it.
    soak_low, soak_high : float or None
        Soak at hardening temperature by the sheet [s].
    martensite_start : float or None
        By the sheet [K].
    normalise_at : float or None
        First normalising heat by the sheet [K].
    anneal : str
        How the sheet softens it, in its own words.
    forge_max : float or None
        Forging ceiling by the sheet [K].
    expansion : float or None
        Linear, 20 to 100 degrees Celsius or near it [1/K].
    etch : str
        "dark", "grey" or "bright".
    tempers : tuple of TemperPoint
        Temper tables, the shop's own rows first.
    """

    key: str
    name: str
    carbon: float
    manganese: float = 0.0
    silicon: float = 0.0
    chromium: float = 0.0
    nickel: float = 0.0
    molybdenum: float = 0.0
    vanadium: float = 0.0
    tungsten: float = 0.0
    sulphur: float | None = None
    phosphorus: float | None = None
    copper: float | None = None
    harden_low: float | None = None
    harden_high: float | None = None
    quench: str = "none"
    quench_medium: str = ""
    soak_low: float | None = None
    soak_high: float | None = None
    martensite_start: float | None = None
    normalise_at: float | None = None
    anneal: str = ""
    forge_max: float | None = None
    expansion: float | None = None
    etch: str = "dark"
    tempers: tuple[TemperPoint, ...] = ()

    @property
    def hardens(self) -> bool:
        """Whether it hardens by itself, before carbon has levelled."""
        return self.quench != "none"
