"""The smallest valid rows for tests; what a test asserts on, the test itself sets."""

from __future__ import annotations

import datetime as dt
import math

import factory
from django.utils import timezone

from billets.models import BarSize, Equipment, Plan, PlanBar, PlanStep, Steel
from shop import services
from shop.models import Customer, Knife, Order, folded

SPEC = {
    "family": "santoku", "length": 0.163, "height": 0.046, "heel_thickness": 0.0027,
    "middle_thickness": 0.0021, "tip_thickness": 0.0011, "behind_edge": 0.00023,
    "edge_angle": math.radians(14), "tang": "hidden", "neck_length": 0.011,
    "handle": "octagon", "handle_material": "walnut", "handle_length": 0.128,
    "ferrule": "horn",
}  # fmt: skip
"""A knife that can be made."""


class SteelFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Steel
        django_get_or_create = ("key",)

    key = "dark"
    name = "Dark steel"
    carbon = 0.8
    etch = "dark"
    quench_class = "oil"

    class Params:
        pale = factory.Trait(key="pale", name="Pale steel", carbon=0.72, etch="bright")


class BarSizeFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = BarSize
        django_get_or_create = ("steel", "thickness", "width")

    steel = factory.SubFactory(SteelFactory)
    thickness = 0.0035
    width = 0.035

    class Params:
        pale = factory.Trait(
            steel=factory.SubFactory(SteelFactory, pale=True), thickness=0.0018
        )


class EquipmentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Equipment
        django_get_or_create = ("name",)

    name = factory.LazyAttribute(lambda row: f"Test {row.kind}")
    kind = "forge"


class PlanFactory(factory.django.DjangoModelFactory):
    """A billet of eleven layers, welded, drawn out, cut in three, welded and drawn."""

    class Meta:
        model = Plan
        skip_postgeneration_save = True

    title = "Test billet"
    order = "ABABABABABA"
    length = 0.137
    width = 0.033
    forge = factory.SubFactory(EquipmentFactory)
    tool = factory.SubFactory(EquipmentFactory, kind="press")
    saw = factory.SubFactory(EquipmentFactory, kind="saw")

    @factory.post_generation
    def rows(self, create, _extracted, **_kwargs):
        PlanBar.objects.create(plan=self, letter="A", bar=BarSizeFactory())
        PlanBar.objects.create(plan=self, letter="B", bar=BarSizeFactory(pale=True))
        steps = (
            {"kind": "weld", "temperature": 1500.0},
            {"kind": "draw", "width": 0.033, "thickness": 0.012},
            {"kind": "cut", "pieces": 3},
            {"kind": "weld", "temperature": 1500.0},
            {"kind": "draw", "width": 0.036, "thickness": 0.0055},
        )
        for position, values in enumerate(steps, start=1):
            PlanStep.objects.create(plan=self, position=position, **values)


class CustomerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Customer

    name = "Tilda Grauwacke"
    folded = factory.LazyAttribute(lambda row: folded(row.name))


class OrderFactory(factory.django.DjangoModelFactory):
    """An enquiry without a knife; ``knives=2`` adds some, ``accepted`` begins work."""

    class Meta:
        model = Order
        skip_postgeneration_save = True

    class Params:
        quoted = factory.Trait(state="quoted")

    customer = factory.SubFactory(CustomerFactory)
    number = factory.Sequence(lambda count: f"26-{count + 1:04d}")
    folded = factory.LazyAttribute(lambda row: folded(row.number, row.customer.name))

    @factory.post_generation
    def knives(self, create, extracted, **_kwargs):
        for _place in range(extracted or 0):
            KnifeFactory(order=self)

    @factory.post_generation
    def accepted(self, create, extracted, **_kwargs):
        if extracted:
            self.state = "quoted"
            self.save()
            services.start_work(self, by=None, at=moment())


class KnifeFactory(factory.Factory):
    """A knife added by the shop's own service, at a stage of its way if asked for."""

    class Meta:
        model = Knife

    order = factory.SubFactory(OrderFactory)
    name = "Test knife"

    @classmethod
    def _create(cls, model_class, *args, order, stage="", **values):
        knife = services.add_knife(order, SPEC | values, by=None, at=moment())
        if stage:
            Knife.objects.filter(pk=knife.pk).update(stage=stage)
            knife.stage = stage
        return knife


def moment() -> dt.datetime:
    """Return a time; tests that look at it pass their own."""
    return timezone.now()
