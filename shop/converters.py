"""What the parts of an address look like; anything else is a page not found."""

from __future__ import annotations

from django.urls import register_converter

from shop.serials import ALPHABET


class _Text:
    """A part that is kept as it stands in the address."""

    def to_python(self, value: str) -> str:
        """Return it as it is kept."""
        return value

    def to_url(self, value: str) -> str:
        """Return it as the address shows it."""
        return str(value)


class OrderNumber(_Text):
    """The number of an order: the year and a running number."""

    regex = "[0-9]{2}-[0-9]{4,9}"


class Serial(_Text):
    """The number of a knife, in either case: it is also read out and typed."""

    regex = f"[{ALPHABET}{ALPHABET.lower()}]{{4,8}}"

    def to_python(self, value: str) -> str:
        """Return it as it is kept."""
        return value.upper()


class PhotoName(_Text):
    """The name of a photo: random, so nobody can count on to the next one."""

    regex = "[A-Za-z0-9_-]{22}"


class PhotoSize(_Text):
    """Which of a photo's two pictures."""

    regex = "small|large"


register_converter(OrderNumber, "number")
register_converter(Serial, "serial")
register_converter(PhotoName, "photo")
register_converter(PhotoSize, "picture")
