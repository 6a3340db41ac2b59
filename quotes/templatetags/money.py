"""Amounts as pages and papers write them."""

from __future__ import annotations

from decimal import Decimal

from django import template

from quotes import wording

register = template.Library()


@register.filter
def money(amount: Decimal, currency: str) -> str:
    """Write an amount of a currency: €1,234.50."""
    return wording.money_text(amount, currency)


@register.filter
def per_cent(percent: Decimal) -> str:
    """Write a rate in per cent: 19 %."""
    return wording.percent_text(percent)
