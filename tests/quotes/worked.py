"""Knives at the bench with hours written for them; tests say which."""

from decimal import Decimal

from django.utils import timezone

from shop import services, work
from shop.models import Knife
from tests.factories import KnifeFactory, moment


def today():
    return timezone.localdate()


def at(stage, order, plan=None, **values):
    """A knife that has come to a stage."""
    knife = KnifeFactory(order=order, **values)
    if plan:
        services.assign_plan(knife, plan)
    Knife.objects.filter(pk=knife.pk).update(stage=stage)
    return Knife.objects.get(pk=knife.pk)


def write(knife, stage, row, hands_on="2", **more):
    """Write hours of a knife down; returns the record."""
    spent = work.Spent(stage=stage, row=row, hands_on=Decimal(hands_on), **more)
    return work.write_hours(knife, [spent], by=None, at=moment())[0]
