"""What a quote was made from can be reckoned again from what it keeps."""

import math
from decimal import Decimal

import pytest

from billets.figures import figures
from billets.physics import steps
from billets.physics.bar import Steel
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.factors import FactorBelief
from billets.physics.fit import Target
from billets.services import Beliefs, PlanSpec
from billets.stock import Bar
from tests.quotes.orders import (
    LONG_AGO,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)

pytestmark = pytest.mark.django_db


def test_price_can_be_computed_again_from_its_basis(owner_client, monkeypatch):
    """Round trip: what a quote keeps gives the same cost and the same chance."""
    ready_shop()
    without_printer(monkeypatch)
    quote = issue(owner_client, ready_order("One", "Other"))
    basis = quote.basis
    assert chance_again(basis["billets"][0]) == basis["billets"][0]["verdict"]["chance"]
    lines = basis["cost"]["lines"]
    direct = sum(Decimal(line["amount"]) for line in lines)
    assert direct == Decimal(basis["cost"]["direct"])
    assert Decimal(basis["cost"]["net"]) == quote.net
    assert basis["rates"]["values"]["labour"]["from"] == LONG_AGO.isoformat()
    assert Decimal(basis["rates"]["values"]["labour"]["value"]) == Decimal(50)


def chance_again(kept):
    kinds = {one.kind: one for one in steps.Step.__args__}
    spec = kept["spec"]
    bars = {
        letter: Bar(**{**bar, "steel": Steel(**bar["steel"])})
        for letter, bar in spec["bars"].items()
    }
    walk = [dict(step) for step in spec["steps"]]
    plan = PlanSpec(
        bars=bars,
        order=spec["order"],
        length=spec["length"],
        width=spec["width"],
        steps=tuple(kinds[step.pop("kind")](**step) for step in walk),
        forge=Forge(**spec["forge"]),
        tool=Tool(**spec["tool"]),
        saw=Saw(**spec["saw"]),
    )
    targets = [
        Target(**{name: math.inf if value is None else value
                  for name, value in one.items()})
        for one in kept["targets"]
    ]  # fmt: skip
    beliefs = Beliefs(
        factors={name: FactorBelief(**one) for name, one in kept["factors"].items()},
        billets=kept["weighed_billets"],
    )
    chance = kept["verdict"]["asked"]
    again = figures(plan, targets, beliefs, seed=kept["seed"], chance=chance)
    assert float(again.plain.bar_mass) == kept["bar_mass"]
    return again.verdict.chance
