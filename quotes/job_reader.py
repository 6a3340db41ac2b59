"""How the tables and values of a job file are read, whatever they mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from billets.grammar import UnitError, read_number, read_quantity
from billets.letters import read_order
from billets.physics.errors import PlanError, _
from billets.spellings import KINDS
from quotes.errors import QuoteError
from quotes.job_keys import Shape
from quotes.rate_items import ITEM_OF
from quotes.rates import check_rate

ToSI = Callable[[str, str], float]
"""Reads a typed quantity of a kind into SI, or raises UnitError."""

MOST_CHARACTERS = 400


def _without_unit(value: str, kind: str) -> bool:
    return kind != "ratio" and read_quantity(value, kind).unit is None


def _bare(value: object, kind: str) -> QuoteError:
    """Return the refusal of a quantity that does not say its unit."""
    return QuoteError(
        _("Write it as a text with its unit, such as “{example}”, not as {value}."),
        example=KINDS[kind].example,
        value=shown(value),
    )


def shown(value: object) -> str:
    """Return a value as a sentence may quote it."""
    text = str(value)
    return text if len(text) <= 24 else text[:23] + "…"


def _text(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise QuoteError(_("Write a text here, not {value}."), value=shown(value))
    if len(value) > MOST_CHARACTERS or not value.isprintable():
        raise QuoteError(
            _("Write one line of at most {most} characters."), most=MOST_CHARACTERS
        )
    return value.strip()


def _count(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise QuoteError(
            _("Write a whole number of 1 or more, not {value}."), value=shown(value)
        )
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or value <= 0:
        raise QuoteError(
            _("Write a number above zero, not {value}."), value=shown(value)
        )
    return float(value)


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise QuoteError(_("Write true or false, not {value}."), value=shown(value))
    return value


def _list(value: object) -> list[Mapping[str, Any]]:
    if not isinstance(value, list) or not value or not all(map(_is_table, value)):
        raise QuoteError(_("Write at least one table in double brackets."))
    return value


def _table(value: object) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise QuoteError(_("Write a table here, not {value}."), value=shown(value))
    return value


def _is_table(value: object) -> bool:
    return isinstance(value, dict)


def _money(value: object) -> Decimal:
    if not isinstance(value, str):
        raise QuoteError(
            _("Write money as a text, such as “12.50”, not as {value}."),
            value=shown(value),
        )
    amount = read_number(value)
    if amount < 0:
        raise QuoteError(_("It must not be below zero."))
    return amount


def _hardness(value: object) -> Decimal:
    text = _text(value) if isinstance(value, str) else ""
    if not text.casefold().endswith("hrc"):
        raise QuoteError(
            _("Write a Rockwell hardness such as “61 HRC”, not {value}."),
            value=shown(value),
        )
    return read_number(text[:-3])


def _order(value: object) -> str:
    """Read the order of layers, one letter a piece or with what repeats counted."""
    text = _text(value)
    return text if text.isalpha() else read_order(text)


READERS: Mapping[str, Callable[[object], Any]] = MappingProxyType(
    {
        "text": _text,
        "count": _count,
        "number": _number,
        "flag": _flag,
        "list": _list,
        "table": _table,
        "money": _money,
        "hardness": _hardness,
        "order": _order,
    }
)
"""How what is no quantity is read; every other kind is one of the spellings'."""


class Reader:
    """Reads tables by their shape and keeps what is wrong instead of stopping."""

    def __init__(self, to_si: ToSI) -> None:
        self.to_si = to_si
        self.problems: list[QuoteError] = []

    def wrong(self, path: str, message: str, **values: object) -> None:
        """Keep a problem with the key at a path."""
        self.problems.append(QuoteError(message, field=path, **values))

    def table(
        self, path: str, raw: Mapping[str, Any], shape: Shape, needs: Iterable[str] = ()
    ) -> dict[str, Any]:
        """Return what could be read of a table, and keep problems with the rest."""
        read: dict[str, Any] = {}
        for key, value in raw.items():
            if key in shape:
                self._into(read, path, key, value, shape[key])
            else:
                self._unknown(join(path, key), shape)
        for key in needs:
            if key not in raw:
                self.wrong(join(path, key), _("This key is missing; give it a value."))
        return read

    def _unknown(self, path: str, shape: Shape) -> None:
        self.wrong(
            path,
            _("There is no such key here; the keys are {keys}."),
            keys=", ".join(shape) or "-",
        )

    def _into(
        self, read: dict[str, Any], path: str, key: str, value: object, kind: str
    ) -> None:
        try:
            read[key] = self.value(value, kind)
        except (UnitError, QuoteError, PlanError) as error:
            self.wrong(join(path, key), error.message, **error.values)

    def value(self, value: object, kind: str) -> Any:
        """Return one value read by its kind; or refuse it."""
        if kind in READERS:
            return READERS[kind](value)
        if not isinstance(value, str) or _without_unit(value, kind):
            raise _bare(value, kind)
        return self.to_si(value, kind)


def join(path: str, key: str) -> str:
    """Return the path of a key in a table."""
    return f"{path}.{key}" if path else key


def read_rate(key: str, value: object) -> Decimal:
    """Return a rate written as a text; a share of a hundred says so."""
    if key not in ITEM_OF:
        raise QuoteError(_("There is no rate {rate}."), rate=key)
    percent = ITEM_OF[key].kind == "percent"
    if not isinstance(value, str) or percent != value.strip().endswith("%"):
        raise QuoteError(
            _("Write it as a text, such as “{example}”, not as {value}."),
            example=f"{ITEM_OF[key].default} %" if percent else ITEM_OF[key].default,
            value=shown(value),
        )
    number = read_number(value.strip().removesuffix("%"))
    check_rate(key, number)
    return number
