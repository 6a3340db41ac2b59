"""Billets, and what they are planned from and for."""

import pytest

from tests.factories import (
    BarSizeFactory,
    EquipmentFactory,
    KnifeFactory,
    OrderFactory,
    PlanFactory,
)


@pytest.fixture
def stock(db):
    """Bars and tools from which a new billet begins."""
    BarSizeFactory(thickness=0.0025)
    BarSizeFactory(pale=True, thickness=0.0015)
    for kind in ("forge", "press", "saw"):
        EquipmentFactory(kind=kind)


@pytest.fixture
def plan(db):
    """A billet of eleven layers that is welded twice."""
    return PlanFactory()


@pytest.fixture
def knife(plan):
    """A knife that is to come out of the plan's bar."""
    knife = KnifeFactory(order=OrderFactory())
    knife.target.plan = plan
    knife.target.save()
    return knife
