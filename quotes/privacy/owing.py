"""Money between the shop and a customer, which nobody can claim after an erasure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from quotes.wording import money_text
from shop import payments
from shop.models import Customer, Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """What is open of one order.

    Attributes
    ----------
    order : Order
        Which.
    balance : Decimal
        What the customer still owes; below zero the shop does.
    currency : str
        Its currency.
    """

    order: Order
    balance: Decimal
    currency: str

    @property
    def mark(self) -> str:
        """Order and sum in one word: a tick for it stands for no other sum."""
        return f"{self.order.number}:{self.balance.normalize():f}"

    @property
    def said(self) -> str:
        """Who owes whom how much."""
        text = _("Order {number}: the customer still owes {sum}.")
        if self.balance < 0:
            text = _("Order {number}: {sum} is to be given back to the customer.")
        amount = money_text(abs(self.balance), self.currency)
        return text.format(number=self.order.number, sum=amount)


def money_between(customer: Customer) -> list[Between]:
    """Return what is open of a customer's orders, whatever has become of them."""
    orders = list(Order.objects.filter(customer=customer).prefetch_related("payments"))
    left = [(one, payments.balance(one)) for one in orders]
    unsettled = [(one, balance) for one, balance in left if balance]
    paid_in = payments.currencies(one for one, _balance in unsettled)
    return [
        Between(order=one, balance=balance, currency=paid_in[one.pk])
        for one, balance in unsettled
    ]
