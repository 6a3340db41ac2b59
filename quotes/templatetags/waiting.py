"""Quotes without an answer, for pages of the app below this one."""

from __future__ import annotations

from django import template

from quotes.waiting import Waiting, waiting_quotes

register = template.Library()


@register.simple_tag
def quotes_waiting() -> dict[str, Waiting]:
    """Return the quotes that wait on the shop, and those on the customer."""
    again, asked = waiting_quotes()
    return {"again": again, "asked": asked}
