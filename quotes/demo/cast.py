"""Everybody and everything in the demo's story so far, by the story's own names."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from django.contrib.auth.models import User

from quotes.demo.story import Act, Row, week
from shop.models import Customer, Knife, Order


@dataclass(slots=True, kw_only=True)
class Cast:
    """Everybody and everything in the story so far, by the story's own names.

    Attributes
    ----------
    plans : mapping
        The billets as they are written; each is saved when it is first planned.
    today : date
        The day from which promised weeks are counted.
    people, customers, orders, knives
        Who and what there is by now, by number of row.
    """

    plans: Mapping[str, Row]
    today: dt.date
    people: Mapping[str, User]
    customers: Mapping[str, Customer]
    orders: dict[str, int] = field(default_factory=dict)
    knives: dict[str, int] = field(default_factory=dict)

    def order(self, key: str) -> Order:
        """Return an order as it stands by now."""
        return Order.objects.get(pk=self.orders[key])

    def knife(self, key: str) -> Knife:
        """Return a knife as it stands by now."""
        return Knife.objects.for_list().get(pk=self.knives[key])

    def week(self, later: int | None) -> dt.date | None:
        """Return the Monday of a week so many after this one, if any is promised."""
        return None if later is None else week(self.today, later)

    def who(self, act: Act) -> User:
        """Return who did it; the smith, if nobody is named."""
        return self.people[act.said.get("by", next(iter(self.people)))]
