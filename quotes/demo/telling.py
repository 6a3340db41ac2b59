"""The telling of the story: an empty demo becomes a shop at work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import translation

from billets.models import Equipment
from quotes.demo import story
from quotes.demo.acts import ACTS
from quotes.demo.cast import Cast
from quotes.demo.story import Row
from shop import services
from shop.models import Customer, Shop, TaxSetting


@transaction.atomic
def tell(told: Row, today: dt.date) -> int:
    """Tell the whole story up to a day; return how many orders it has.

    Steels, equipment and rates of a fresh shop have to be there. Papers are printed
    inside the one transaction: nobody else has this database open yet, and of a story
    that breaks off nothing must stay.
    """
    with translation.override("en"):
        _furnish(told)
        cast = Cast(
            plans=told["plans"],
            today=today,
            people=_people(told["people"]),
            customers=_customers(told["customers"]),
        )
        for act in story.acts(told, today):
            ACTS[act.kind](cast, act)
    return len(cast.orders)


def _furnish(told: Row) -> None:
    """Set up the shop: its name, its tax, its own equipment."""
    services.save_shop(Shop.current(), told["shop"])
    tax = told["tax"]
    TaxSetting.objects.create(**{**tax, "rate": Decimal(tax["rate"])})
    for name, row in told["equipment"].items():
        Equipment.objects.create(name=name, **story.measured(Equipment, row))


def _people(told: Mapping[str, str]) -> dict[str, User]:
    """Return who works there; nobody can sign in with these names."""
    return {
        name: User.objects.create_user(name, first_name=first)
        for name, first in told.items()
    }


def _customers(told: Mapping[str, Row]) -> dict[str, Customer]:
    return {key: services.save_customer(row) for key, row in told.items()}
