"""The smallest valid job and rates; what a test asserts on, the test sets."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

from quotes.job import BilletJob, Job, KnifeJob, SteelUse
from quotes.rates import overridden, shipped_rates

DAY = dt.date(2026, 3, 2)


def steel(**changes):
    plain = {"key": "plain", "name": "plain steel", "mass": Decimal("1.200")}
    return SteelUse(**{**plain, "price": Decimal("9.00"), **changes})


def billet(**changes):
    return BilletJob(**{
        "name": "billet", "steels": (steel(),), "gas": Decimal("3.1"),
        "gas_per_hour": Decimal("1.4"), "hours": Decimal("4.25"),
        "working_hours": Decimal("0.3"), "tool": "press", **changes,
    })  # fmt: skip


def knife(**changes):
    plain = {"name": "knife", "needed": Decimal("0.310"), "ground": Decimal("0.110")}
    return KnifeJob(**{**plain, **changes})


def job(**changes):
    plain = {"knives": (knife(),), "billets": (billet(),), "currency": "EUR"}
    return Job(**{**plain, **changes})


def rates(**changes):
    return overridden(shipped_rates(), {k: Decimal(v) for k, v in changes.items()})


def without(key):
    """Shop rates that lack one."""
    plain = shipped_rates()
    return replace(plain, values={k: v for k, v in plain.values.items() if k != key})


def nothing_fails():
    """Changes of the rates under which every stage succeeds."""
    bench = ("forge", "grind", "harden", "finish", "handle", "sharpen")
    return {f"success_{key}": "100" for key in bench}
