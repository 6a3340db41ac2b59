"""Sentences of the core: every placeholder filled, every value in the shop's units."""

import ast
import datetime as dt
import string
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from django.utils import translation

from billets.grammar import UnitError, read_number
from billets.messages import FIELDS, KIND_OF, sentence
from billets.physics.errors import Flag, PlanError
from billets.spellings import KINDS

ROOT = Path(__file__).resolve().parents[2]
ERRORS = {"PlanError", "UnitError", "StageError", "QuoteError"}


def said(message, *, field=None, system="metric", language="en", **values):
    error = PlanError(message, field=field, **values)
    return sentence(error, system, language).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ({"width": 0.025}, "25 mm"), ({"door_width": 0.15}, "150 mm"),
        ({"thickness": 0.0032}, "3.2 mm"), ({"mass": 0.9}, "900 g"),
        ({"temperature": 1423.15}, "1,150 °C"), ({"wall": 1573.15}, "1,300 °C"),
        ({"seconds": 240.0}, "4 min"), ({"strain": 0.35}, "0.35"), ({"step": 3}, "3"),
        ({"layers": 100000}, "100,000"), ({"name": "1095"}, "1095"),
        ({"price": Decimal("1.125")}, "1.1250"), ({"mass": np.float64(0.9)}, "900 g"),
        ({"mass": np.array([0.9, 1.1])}, "900 g – 1,100 g"),
        ({"mass": np.array([0.9, 0.9])}, "900 g"), ({"width": 0.0002}, "0.2 mm"),
        ({"day": dt.date(2026, 11, 5)}, "5 November 2026"),
    ],
)  # fmt: skip
def test_value_is_shown_by_its_placeholder(values, text):
    assert said(f"It is {{{next(iter(values))}}}.", **values) == f"It is {text}."


def test_generic_placeholder_takes_the_kind_of_the_field():
    message = "The {field} is {value}, more than {most}."
    assert said(message, field="door_width", value=0.6, most=0.5) == (
        "The door width is 600 mm, more than 500 mm."
    )
    assert said("{low} to {high}", field="air_ratio", low=0.5, high=1.5) == "0.5 to 1.5"
    assert said("{value}", field="behind_edge", value=0.00025) == "0.25 mm"


def test_inch_shop_reads_inches():
    assert said("{width}", width=0.0508, system="inch") == "2.00 in"


def test_german_page_has_german_numbers():
    assert said("{thickness}", thickness=0.0032, language="de") == "3,2 mm"


def test_language_of_the_page_is_the_default():
    with translation.override("de"):
        assert sentence(PlanError("{thickness}", thickness=0.0032)) == "3,2\u00a0mm"


def test_question_offers_answers_in_the_pages_language():
    with pytest.raises(UnitError) as caught:
        read_number("1,250")
    assert "1250 oder 1,25 eingeben." in sentence(caught.value, language="de")


def test_example_has_the_decimal_mark_of_the_language():
    with pytest.raises(UnitError) as caught:
        read_number("")
    assert "12.5." in sentence(caught.value, language="en")
    assert "12,5." in sentence(caught.value, language="de")


def test_answer_with_three_places_is_not_asked_about_again():
    with pytest.raises(UnitError) as caught:
        read_number("1.234")
    assert "type 1234 or 1.2340." in sentence(caught.value)


def test_flag_is_a_sentence_too():
    flag = Flag(message="Hot: {temperature}.", values={"temperature": 1523.15})
    assert sentence(flag).replace("\u00a0", " ") == "Hot: 1,250 °C."


def test_typed_braces_are_only_text():
    error = UnitError("“{text}” cannot be read.", text="{width}{0.__class__}")
    assert sentence(error) == "“{width}{0.__class__}” cannot be read."


def test_value_that_was_forgotten_shows_its_name():
    assert sentence(PlanError("Above {some_limit}.")) == "Above some limit."


def test_every_kind_named_here_exists():
    assert set(KIND_OF.values()) <= set(KINDS)
    assert all(str(name) for name in FIELDS.values())


def calls():
    """Every error made in the apps from constant text and plain keywords."""
    for app in ("billets", "shop", "quotes"):
        for path in sorted((ROOT / app).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                name = getattr(getattr(node, "func", None), "id", None)
                if isinstance(node, ast.Call) and name in ERRORS and node.args:
                    text = constant(node.args[0])
                    if text is not None:
                        yield f"{path.relative_to(ROOT)}:{node.lineno}", text, node


def constant(node):
    """The constant text of _("..."), None if it is no such thing."""
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "_":
        node = node.args[0]
    return node.value if isinstance(node, ast.Constant) else None


CALLS = list(calls())


@pytest.mark.parametrize(("place", "text", "node"), CALLS, ids=[c[0] for c in CALLS])
def test_every_placeholder_is_given(place, text, node):
    keywords = {keyword.arg for keyword in node.keywords}
    parts = list(string.Formatter().parse(text))
    names = {name for _, name, _, _ in parts if name is not None}
    assert all(name.isidentifier() for name in names), place
    assert not any(spec or turn for _, _, spec, turn in parts), place
    # A step's number is added by whoever runs the steps, a field by the error itself.
    given = keywords | {"step", "field"}
    assert None in keywords or names <= given, place
