"""Hours that learn: what this shop's knives have taught about the next one's hours."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What the next job is expected to take, from a prior and the jobs so far.

    For the billet it is a factor on the hours the model gives; for every other row
    the hours of the usual knife [h].

    Attributes
    ----------
    mean : float
        Expected value, which is charged.
    low, median, p80, high : float
        Not exceeded one time in ten, in two, in four of five, in nine of ten.
    location, scale, freedom : float
        Of the Student t its logarithm follows.
    count : int
        Jobs it is learned from.
    """

    mean: float
    low: float
    median: float
    p80: float
    high: float
    location: float
    scale: float
    freedom: float
    count: int
