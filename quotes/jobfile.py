"""Reader of JOB.toml: one order, from its knives to the steps of its billet.

A quantity is a text with a unit, as a smith types it ("210 mm", "8 1/4 in"); bare
numbers are counts. Nothing is guessed: an unknown key is refused, a missing one is
named, and all that is wrong is told at once, each with the path of its key. Tables of
a list are counted from 1: ``knives[2].length`` is the length of the second knife.

What is left out stays out of the result, so that the defaults of the family, the
step and the shop hold.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import cycle, islice
from typing import Any

from billets.grammar import UnitError
from billets.physics.bar import MOST_PIECES
from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.job_keys import (
    BAR,
    BILLET,
    EQUIPMENT,
    JOB,
    KNIFE,
    NOT_OF_THE_SPEC,
    STEP_NEEDS,
    STEPS,
)
from quotes.job_reader import Reader, ToSI, read_rate, shown


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeEntry:
    """A knife as the file tells it.

    Attributes
    ----------
    name, family : str
        What it is called, empty if the file does not say; and its family.
    given : mapping
        What the file says of the knife's specification, by the names of that: words
        as they stand, lengths in [m], angles in [rad], masses in [kg].
    finish : str
        How it shall look.
    hardness : Decimal or None
        Rockwell C aimed at [HRC].
    handle_price : Decimal or None
        What its handle material costs [currency].
    """

    name: str
    family: str
    given: Mapping[str, Any]
    finish: str
    hardness: Decimal | None
    handle_price: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BarEntry:
    """The bar a letter of the layer order stands for.

    Attributes
    ----------
    steel : str
        Name of the steel.
    thickness : float
        Of one piece [m].
    width, length : float or None
        Of the bar as bought; None for that of the stack, and for the usual [m].
    price : Decimal or None
        Replacement price [currency per kg].
    """

    steel: str
    thickness: float
    width: float | None
    length: float | None
    price: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSpec:
    """A job file as read.

    Attributes
    ----------
    knives : tuple of KnifeEntry
        At least one.
    bars : mapping of str to BarEntry
        Bars by their letter.
    order : str
        One letter a piece, from the bottom of the stack.
    length, width : float
        Of the stack [m].
    steps : tuple of mapping
        In order, each with its ``kind`` and what the file says of it, SI.
    equipment : mapping
        What the file says of forge, tool and saw, SI.
    rates : mapping of str to Decimal
        Rates for this job only, by their key.
    """

    knives: tuple[KnifeEntry, ...]
    bars: Mapping[str, BarEntry]
    order: str
    length: float
    width: float
    steps: tuple[Mapping[str, Any], ...]
    equipment: Mapping[str, Any]
    rates: Mapping[str, Decimal]


class JobFileError(QuoteError):
    """A job file that cannot be used; ``problems`` says everything that is wrong.

    ``field`` of each problem is the path of its key, empty for the file as a whole.
    """

    def __init__(self, problems: Iterable[QuoteError]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        super().__init__(first.message, field=first.field, **first.values)


def read_job(text: str, to_si: ToSI) -> JobSpec:
    """Read a job file, or raise JobFileError with everything that is wrong in it.

    Parameters
    ----------
    text : str
        The file, TOML.
    to_si : callable
        Reads a typed quantity of a kind into SI (``billets.units.to_si``).

    Returns
    -------
    JobSpec
        The job, SI.
    """
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        problem = QuoteError(
            _("The file is not TOML: {detail}."), field="", detail=str(error)
        )
        raise JobFileError([problem]) from error
    reader = Reader(to_si)
    top = reader.table("", raw, JOB, ("knives", "billet", "steps"))
    knives = tuple(_knives(reader, top.get("knives", ())))
    told = top.get("steps", ())
    cores = "".join(str(one.get("core", "")) for one in told if one.get("do") == "core")
    billet = _billet(reader, top.get("billet"), cores)
    steps = tuple(_steps(reader, told, billet.get("bars", {})))
    equipment = reader.table("equipment", top.get("equipment", {}), EQUIPMENT)
    rates = _rates(reader, top.get("rates", {}))
    if reader.problems:
        raise JobFileError(reader.problems)
    return JobSpec(
        knives=knives, steps=steps, equipment=equipment, rates=rates, **billet
    )


def _knives(reader: Reader, raw: Iterable[Mapping[str, Any]]) -> Iterable[KnifeEntry]:
    for number, one in enumerate(raw, start=1):
        read = reader.table(f"knives[{number}]", one, KNIFE, ("family",))
        yield KnifeEntry(
            name=read.get("name", ""),
            family=read.get("family", ""),
            given={k: v for k, v in read.items() if k not in NOT_OF_THE_SPEC},
            finish=read.get("finish", ""),
            hardness=read.get("hardness"),
            handle_price=read.get("handle_price"),
        )


def _billet(
    reader: Reader, raw: Mapping[str, Any] | None, cores: str
) -> dict[str, Any]:
    """Return the billet; bars that only make cores are not laid in the stack."""
    if raw is None:
        return {}
    read = reader.table("billet", raw, BILLET, ("length", "width", "bars"))
    bars = {
        letter: _bar(reader, f"billet.bars.{letter}", letter, one)
        for letter, one in read.get("bars", {}).items()
    }
    if "bars" in read and not bars:
        reader.wrong("billet.bars", _("Name at least one bar with a letter."))
    laid = "".join(letter for letter in bars if letter not in cores) or "".join(bars)
    order = _order(reader, raw, read, laid)
    _check_letters(reader, order, "".join(bars), cores)
    return {
        "bars": bars,
        "order": order,
        "length": read.get("length"),
        "width": read.get("width"),
    }


def _bar(reader: Reader, path: str, letter: str, raw: object) -> BarEntry | None:
    if not isinstance(raw, dict) or len(letter) != 1 or not letter.isalpha():
        reader.wrong(
            path, _("Name each bar with one letter and give it a table of its own.")
        )
        return None
    read = reader.table(path, raw, BAR, ("steel", "thickness"))
    values: dict[str, Any] = {name: read.get(name) for name in BAR}
    return BarEntry(**values)


def _order(
    reader: Reader, raw: Mapping[str, Any], read: Mapping[str, Any], letters: str
) -> str:
    """Return one letter a piece: as written, or the bars in turn."""
    if ("order" in raw) == ("pieces" in raw):
        reader.wrong(
            "billet.order",
            _("Give either the order of the layers, or a number of pieces in turn."),
        )
        return ""
    pieces = read.get("pieces", len(read.get("order", "")))
    if pieces > MOST_PIECES:
        reader.wrong(
            "billet.pieces" if "pieces" in raw else "billet.order",
            _("A stack has at most {most} pieces."),
            most=MOST_PIECES,
        )
        return ""
    order = "".join(islice(cycle(letters), pieces))
    return str(read.get("order", order))


def _check_letters(reader: Reader, order: str, letters: str, cores: str) -> None:
    """Refuse a letter without a bar, and a bar that neither stack nor core asks for."""
    for letter in sorted(set(order) - set(letters)):
        reader.wrong(
            "billet.order",
            _("The letter {letter} stands for no bar; add it to the bars."),
            letter=letter,
        )
    for letter in sorted(set(letters) - set(order) - set(cores)) if order else ():
        reader.wrong(
            f"billet.bars.{letter}",
            _("This bar is not in the order of the layers; leave it out."),
        )


def _steps(
    reader: Reader, raw: Iterable[Mapping[str, Any]], bars: Mapping[str, Any]
) -> Iterable[Mapping[str, Any]]:
    for number, one in enumerate(raw, start=1):
        path, kind = f"steps[{number}]", one.get("do")
        if not isinstance(kind, str) or kind not in STEPS:
            reader.wrong(
                f"{path}.do",
                _("Say what to do: one of {steps}, not {value}."),
                steps=", ".join(STEPS),
                value=shown(kind),
            )
            continue
        shape = {"do": "text", **STEPS[kind]}
        read = reader.table(path, one, shape, STEP_NEEDS.get(kind, ()))
        del read["do"]
        if kind == "core" and "core" in read and read["core"] not in bars:
            reader.wrong(
                f"{path}.core",
                _("The letter {letter} stands for no bar; add it to the bars."),
                letter=read["core"],
            )
        yield {"kind": kind, **read}


def _rates(reader: Reader, raw: Mapping[str, Any]) -> dict[str, Decimal]:
    rates: dict[str, Decimal] = {}
    for key, value in raw.items():
        try:
            rates[key] = read_rate(key, value)
        except (UnitError, QuoteError) as error:
            reader.wrong(f"rates.{key}", error.message, **error.values)
    return rates
