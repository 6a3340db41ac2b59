"""The countries of who sells and who buys, as a paper names them."""

from __future__ import annotations

from billets.messages import spoken
from billets.units import locale_of


def countries_between(
    seller: tuple[str, str], buyer: tuple[str, str]
) -> tuple[str, str]:
    """Return how the last lines of two addresses name their countries.

    Each party is its country's ISO 3166 code and its address. Within one country, or
    where the buyer's is not told, an address needs none; nor one that has it already.
    """
    if not buyer[0] or seller[0] == buyer[0]:
        return "", ""
    return _line(*seller), _line(*buyer)


def _line(code: str, address: str) -> str:
    name = country_name(code)
    lines = [line.strip().casefold() for line in address.splitlines()]
    return "" if name.casefold() in lines else name


def country_name(code: str) -> str:
    """Return the name of a country in the language spoken; the code if it has none.

    >>> country_name("DE"), country_name("")
    ('Germany', '')
    """
    return str(locale_of(spoken()).territories.get(code.upper(), code))
