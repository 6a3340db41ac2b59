"""How a typed number or quantity is read: understood, asked about, or refused.

Core: knows no language and no unit arithmetic. ``read_number`` reads a bare number,
``read_quantity`` a number with or without a unit of its kind, a fraction or a clock
time; ``write_number`` writes what both read back without asking.

Numbers
    An optional sign, then ASCII digits. Spaces and apostrophes group in threes; a
    point or comma that repeats groups in threes; a single point or comma is the
    decimal mark, except before exactly three digits and after one to three that do
    not begin with 0: that can be read two ways and is asked back. With two kinds of
    marks the last is the decimal mark. Anything else is refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from billets.physics.errors import Refusal, _
from billets.spellings import KINDS, Kind

MOST_CHARACTERS = 48
"""No number a shop types is longer; it also keeps the reading of nonsense quick."""

SPACES = str.maketrans(dict.fromkeys("\u00a0\u2009\u202f\t", " "))
QUOTES = str.maketrans({"’": "'", "‘": "'", "′": "'", "“": '"', "”": '"', "″": '"'})
VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8",
    "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅙": "1/6", "⅚": "5/6", "⅕": "1/5",
    "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
}  # fmt: skip

_NUMBER = re.compile(
    r"(?P<sign>[+\-−]?)"
    r"(?P<whole>[1-9][0-9]{0,2}(?P<group>[ '.,])[0-9]{3}(?:(?P=group)[0-9]{3})*|[0-9]+)"
    r"(?:(?P<mark>[.,])(?P<part>[0-9]+))?"
)
_TWO_WAYS = re.compile(r"-?[1-9][0-9]{0,2}\.[0-9]{3}")
_FRACTION = re.compile(r"(?:([0-9]{1,4})[ -])?([0-9]{1,4})/([0-9]{1,4})")
_SPLIT = re.compile(r"([-+−0-9.,' /:]*)(.*)", re.DOTALL)
_CLOCK = re.compile(r"([0-9]{1,3}):([0-9]{2}) ?(\S*)")
_TWO_UNITS = re.compile(r"([0-9]{1,3}) ?([^\W\d]+)\.? ?([0-9]{1,2})( ?[^\W\d]+)?\.?")


class UnitError(Refusal):
    """What was typed is not one number.

    If the text can be read two ways, ``values`` holds both readings as ``first`` and
    ``second``, each in a form that is read without asking.
    """

    @property
    def asks(self) -> bool:
        """Whether the text was understood in two ways rather than not at all."""
        return "second" in self.values


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A quantity as typed.

    Attributes
    ----------
    value : Decimal
        The number before the unit, exact but for fractions such as 1/3.
    unit : str or None
        The unit's own symbol (a key of the kind's ``units``); None for a bare number,
        which takes the shop's unit for its kind.
    fraction : bool
        Whether it was typed with a stroke, as inches are.
    """

    value: Decimal
    unit: str | None
    fraction: bool = False


def read_number(text: str) -> Decimal:
    """Read a bare number, or raise UnitError: unreadable, or readable two ways.

    >>> read_number("1.234,56"), read_number("1,5"), read_number("0,500")
    (Decimal('1234.56'), Decimal('1.5'), Decimal('0.500'))
    >>> read_number("1,500")
    Traceback (most recent call last):
    ...
    billets.grammar.UnitError: “{text}” can be read two ways: type {first} or {second}.
    """
    found = _NUMBER.fullmatch(_tidy(text, "12.5"))
    if not found or found["group"] == (found["mark"] or "none"):
        raise UnitError(
            _("“{text}” cannot be read as a number: type it like {example}."),
            text=_short(text),
            example="12.5",
        )
    sign = "" if found["sign"] in ("", "+") else "-"
    whole, group = found["whole"], found["group"]
    digits = sign + re.sub(r"[^0-9]", "", whole)
    if group in (".", ",") and not found["mark"] and whole.count(group) == 1:
        raise UnitError(
            _("“{text}” can be read two ways: type {first} or {second}."),
            text=_short(text),
            first=Decimal(digits),
            second=Decimal(write_number(Decimal(sign + whole.replace(group, ".")))),
        )
    value = Decimal(f"{digits}.{found['part'] or '0'}" if found["mark"] else digits)
    return value if value else abs(value)


def write_number(value: Decimal, mark: str = ".") -> str:
    """Write a number so that it is read back as it is, without being asked about.

    >>> write_number(Decimal("1.125")), write_number(Decimal("1E+3"))
    ('1.1250', '1000')
    >>> write_number(Decimal("12.50"), mark=",")
    '12,5'
    """
    text = f"{value:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if _TWO_WAYS.fullmatch(text):
        text += "0"
    return "0" if text == "-0" else text.replace(".", mark)


def read_quantity(text: str, kind: str) -> Reading:
    """Read a number with or without a unit of its kind, or raise UnitError.

    >>> read_quantity('1 1/2 in', "length")
    Reading(value=Decimal('1.5'), unit='in', fraction=True)
    >>> read_quantity("2h30", "hours")
    Reading(value=Decimal('150'), unit='min', fraction=False)
    """
    about = KINDS[kind]
    body = _tidy(text, about.example)
    reading = (_read_time(body, about) if about.clock else None) or _read_plain(
        body, about
    )
    if reading.value < 0 and not about.signed:
        raise UnitError(
            _("“{text}” is below zero: type a value of zero or more."),
            text=_short(text),
        )
    return reading


def _read_plain(body: str, about: Kind) -> Reading:
    for sign, strokes in VULGAR.items():
        body = body.replace(sign, f" {strokes} ")
    found = _SPLIT.fullmatch(" ".join(body.replace("⁄", "/").split()))
    number, tail = (found[1].rstrip(), found[2]) if found else (body, "")
    if not tail and "'" in about.spellings:
        stem = number.rstrip("'")
        number, tail = stem.rstrip(), number[len(stem) :]
    if not number:
        raise _unreadable(body, about)
    unit = _unit(tail, about)
    if "/" in number and about.fractions:
        return Reading(value=_fraction(number, body, about), unit=unit, fraction=True)
    return Reading(value=_number_before(number, tail, about), unit=unit)


def _number_before(number: str, tail: str, about: Kind) -> Decimal:
    try:
        return read_number(number)
    except UnitError as error:
        if not error.asks:
            raise _unreadable(f"{number} {tail}", about) from None
        if not tail:
            raise
        raise UnitError(
            _("“{text}” can be read two ways: type {first} {unit} or {second} {unit}."),
            text=_short(f"{number} {tail}"),
            first=error.values["first"],
            second=error.values["second"],
            unit=tail,
        ) from None


def _fraction(number: str, body: str, about: Kind) -> Decimal:
    found = _FRACTION.fullmatch(number.removeprefix("+"))
    if not found:
        raise _unreadable(body, about)
    whole, above, below = (Decimal(part or 0) for part in found.groups())
    if not below or (found[1] and above >= below):
        raise _unreadable(body, about)
    return whole + above / below


def _unit(tail: str, about: Kind) -> str | None:
    """Return the symbol of a typed unit, None for the shop's own."""
    key = tail.casefold().replace(" ", "").replace("^", "").rstrip(".,;")
    if not key:
        return None
    if key not in about.spellings:
        raise UnitError(
            _("“{text}” is no unit for this box: type one of {units}, or no unit."),
            text=_short(tail),
            units=", ".join(about.units),
        )
    return about.spellings[key]


def _read_time(body: str, about: Kind) -> Reading | None:
    """Return a clock time or two units in one, None if it is neither."""
    clock, pair = _CLOCK.fullmatch(body), _TWO_UNITS.fullmatch(body.casefold())
    if clock:
        return _read_clock(clock, about)
    if not pair:
        return None
    units = about.spellings.get(pair[2]), _unit_below(pair, about)
    if units not in (("h", "min"), ("min", "s")) or int(pair[3]) > 59:
        raise _no_time(body)
    return _sexagesimal(pair[1], pair[3], str(units[1]))


def _unit_below(pair: re.Match[str], about: Kind) -> str | None:
    """Return the unit of the second number; unsaid, the next below the first."""
    if pair[4]:
        return about.spellings.get(pair[4].strip(), "")
    below = {"h": "min", "min": "s"}.get(about.spellings.get(pair[2]) or "")
    return below if len(pair[3]) == 2 else ""


def _read_clock(clock: re.Match[str], about: Kind) -> Reading:
    first, second, tail = clock.groups()
    unit = _unit(tail, about) or about.clock
    if int(second) > 59 or (unit == "h" and int(first) > 23):
        raise _no_time(clock[0])
    if unit == "either":
        raise UnitError(
            _("“{text}” can be read two ways: type {first} or {second}."),
            text=clock[0],
            first=f"{int(first)} h {second} min",
            second=f"{int(first)} min {second} s",
        )
    if unit == "s":
        raise _no_time(clock[0])
    return _sexagesimal(first, second, "min" if unit == "h" else "s")


def _sexagesimal(first: str, second: str, unit: str) -> Reading:
    return Reading(value=Decimal(int(first) * 60 + int(second)), unit=unit)


def _tidy(text: str, example: str) -> str:
    """Trim, refuse what is empty or too long, and write marks one way."""
    if len(text) > MOST_CHARACTERS and len(text.strip()) > MOST_CHARACTERS:
        raise UnitError(
            _("“{text}” is longer than any number: type at most {most} characters."),
            text=_short(text),
            most=MOST_CHARACTERS,
        )
    body = text.translate(SPACES).translate(QUOTES).strip()
    if not body:
        raise UnitError(_("Type a value here, such as {example}."), example=example)
    return body


def _short(text: str) -> str:
    """Return the text as a sentence may quote it."""
    text = text.strip()
    return text if len(text) <= 24 else text[:23] + "…"


def _unreadable(text: str, about: Kind) -> UnitError:
    return UnitError(
        _(
            "“{text}” cannot be read: type a number like {example}, in one of {units}, "
            "or without a unit."
        ),
        text=_short(text),
        example=about.example,
        units=", ".join(about.units),
    )


def _no_time(text: str) -> UnitError:
    return UnitError(
        _(
            "“{text}” cannot be read as a time: type hours and minutes like 2:30, "
            "up to 23:59, or 2.5 h."
        ),
        text=_short(text),
    )
