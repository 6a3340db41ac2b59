"""Typed text to SI and back; exact where the inch and the pound are exact."""

import math
import random
import subprocess
import sys
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.grammar import UnitError, write_number
from billets.spellings import KINDS
from billets.units import DISPLAYS, edit, exact, label_unit, show, to_si, unit_of

SYSTEMS = ("metric", "inch")

READ = [  # a bare number is in the shop's unit; one point or comma is the decimal mark
    ("25", "length", 0.025), ("25 mm", "length", 0.025), ("25mm", "length", 0.025),
    ("1 1/2 in", "length", 0.0381), ('3/8"', "length", 0.009525),
    ("1,25", "length", 0.00125), ("0.500 in", "length", 0.0127),
    ("1.234,56", "length", 1.23456), ("1 234", "length", 1.234),
    ("850 C", "temperature", 1123.15),
]  # fmt: skip
ASKED_BACK = ["1.500", "1,500", "12.700 mm", '1.250"']  # thousands or decimals?
REFUSED = ["", "wide", "25 kg", ".5 in", "12 5", "1.50.5", "1/0", "1e3", "nan", "-5"]

LISTED = [
    ("2 in", "length", 0.0508), ('2"', "length", 0.0508), ("2 inch", "length", 0.0508),
    ("2 Zoll", "length", 0.0508), ("50", "length", 0.05), ("50 mm", "length", 0.05),
    ("5 cm", "length", 0.05), ("0,05 m", "length", 0.05), ("0.05m", "length", 0.05),
    ("1 1/2 in", "length", 0.0381), ('1/8"', "length", 0.003175),
    ("½ in", "length", 0.0127), ('1½"', "length", 0.0381),
    ("1-1/2 in", "length", 0.0381),
    ("3/16 in", "length", 0.0047625), ("5/32 in", "thickness", 0.00396875),
    ("0.125 in", "thickness", 0.003175), ("2 inches", "length", 0.0508),
    ("2”", "length", 0.0508), ("2″", "length", 0.0508), ("2''", "length", 0.0508),
    ("1 ft", "length", 0.3048), ("1'", "length", 0.3048), ("2 Fuß", "length", 0.6096),
    ("3.2", "thickness", 0.0032), ("0,25", "fine", 0.00025),
    ("0.010 in", "fine", 0.000254),
    ("1'200 mm", "length", 1.2), ("1 200,5 mm", "length", 1.2005),
    ("25,4 MM", "length", 0.0254),
    ("250", "mass", 0.25), ("250 g", "mass", 0.25), ("250g", "mass", 0.25),
    ("0,25 kg", "mass", 0.25), ("1 lb", "mass", 0.45359237),
    ("2 lbs", "mass", 0.90718474),
    ("1/2 lb", "mass", 0.226796185), ("1 oz", "mass", 0.028349523125),
    ("1,4", "mass_kg", 1.4), ("1400 g", "mass_kg", 1.4),
    ("850", "temperature", 1123.15), ("850 °C", "temperature", 1123.15),
    ("1562 F", "temperature", 1123.15), ("1562 °F", "temperature", 1123.15),
    ("1123.15 K", "temperature", 1123.15), ("-40 F", "temperature", 233.15),
    ("-40 C", "temperature", 233.15), ("850 Grad", "temperature", 1123.15),
    ("50", "temperature_difference", 50.0), ("50 K", "temperature_difference", 50.0),
    ("50 °C", "temperature_difference", 50.0),
    ("90 °F", "temperature_difference", 50.0),
    ("180°", "angle", math.pi), ("15", "angle", math.pi / 12),
    ("20", "duration", 1200.0), ("90 s", "duration", 90.0),
    ("1.5 h", "duration", 5400.0),
    ("2:30", "hours", 9000.0), ("2h30", "hours", 9000.0), ("2,5", "hours", 9000.0),
    ("2.5 h", "hours", 9000.0), ("150 min", "hours", 9000.0),
    ("1.8 kg/h", "mass_rate", 0.0005), ("30 g/min", "mass_rate", 0.0005),
    ("1", "pressure", 1e5), ("100 kPa", "pressure", 1e5), ("50 mbar", "pressure", 5e3),
    ("7.85 g/cm3", "density", 7850.0), ("7850", "density", 7850.0),
    ("2.2", "power", 2200.0), ("2200 W", "power", 2200.0), ("1 kWh", "energy", 3.6e6),
    ("2 L", "volume", 0.002), ("500 mL", "volume", 0.0005),
    ("12", "percent", 0.12), ("12 %", "percent", 0.12), ("12 %", "ratio", 0.12),
    ("0,8", "ratio", 0.8),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "value"), READ)
def test_text_is_read_into_si(text, kind, value):
    assert to_si(text, kind) == value


@pytest.mark.parametrize("text", ASKED_BACK)
def test_two_readings_are_asked_back(text):
    with pytest.raises(UnitError) as caught:
        to_si(text, "length")
    assert caught.value.asks


@pytest.mark.parametrize("text", REFUSED)
def test_unreadable_text_is_refused(text):
    with pytest.raises(UnitError) as caught:
        to_si(text, "length")
    assert not caught.value.asks


@pytest.mark.parametrize(("text", "kind", "value"), LISTED)
def test_listed_form_is_exact(text, kind, value):
    """Exact by definition: yard and pound agreement of 1959 (inch 25.4 mm, pound
    0.45359237 kg); SI brochure, 9th ed. (2019) for °C, litre, hour, bar, degree."""
    assert to_si(text, kind) == pytest.approx(value, rel=1e-15)


def test_pound_per_square_inch_matches_nist():
    """NIST SP 811 (2008), appendix B.8: 1 psi = 6.894 757 E+03 Pa (from memory)."""
    assert to_si("1 psi", "pressure") == pytest.approx(6894.757, abs=5e-4)


def test_at_least_sixty_forms_are_listed():
    assert len(LISTED) >= 60


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [("2", "length", 0.0508), ("1/2", "length", 0.0127), ("16", "mass", 0.45359237),
     ("1562", "temperature", 1123.15), ("25 mm", "length", 0.025)],
)  # fmt: skip
def test_bare_number_takes_the_shops_unit(text, kind, value):
    assert to_si(text, kind, unit_of(kind, "inch")) == value


def test_bare_fraction_in_a_metric_shop_is_asked_about():
    with pytest.raises(UnitError) as caught:
        to_si("3/8", "length")
    answers = [caught.value.values[name] for name in ("first", "second")]
    assert answers == ["3/8 in", "0.375 mm"]
    assert [to_si(text, "length") for text in answers] == [0.009525, 0.000375]


def test_below_absolute_zero_is_refused():
    with pytest.raises(UnitError, match="absolute zero"):
        to_si("-300 C", "temperature")


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (0.03175, "length", "metric", "32 mm"),
        (0.03175, "thickness", "metric", "31.8 mm"),
        (0.00025, "fine", "metric", "0.25 mm"), (1.4116, "mass", "metric", "1,412 g"),
        (1.4116, "mass_kg", "metric", "1.412 kg"),
        (0.0508, "length", "inch", "2.00 in"),
        (0.003175, "thickness", "inch", "0.125 in"),
        (0.45359237, "mass", "inch", "16.00 oz"),
        (1123.15, "temperature", "metric", "850 °C"),
        (1123.15, "temperature", "inch", "1,562 °F"),
        (50.0, "temperature_difference", "metric", "50 K"),
        (math.pi / 12, "angle", "metric", "15.0°"),
        (9000.0, "hours", "metric", "2.5 h"), (8000.0, "hours", "metric", "2.25 h"),
        (7200.0, "hours", "metric", "2 h"), (240.0, "duration", "metric", "4 min"),
        (7850.0, "density", "metric", "7,850 kg/m³"),
        (0.62, "percent", "metric", "62 %"),
        (0.8, "ratio", "metric", "0.80"), (-0.0001, "length", "metric", "0 mm"),
        (0.0005, "length", "metric", "1 mm"),
    ],
)  # fmt: skip
def test_paper_rounds_half_up_and_names_the_unit(value, kind, system, text):
    assert show(value, kind, system).replace("\u00a0", " ") == text


def test_paper_speaks_the_language():
    assert show(1.4116, "mass_kg", language="de") == "1,412\u00a0kg"
    assert show(1.4116, "mass", language="de") == "1.412\u00a0g"
    assert show(1.4116, "mass", language="de-ch") == "1’412\u00a0g"


def test_paper_takes_other_places():
    assert show(0.03175, "length", places=2) == "31.75\u00a0mm"
    assert show(8000.0, "hours", places=1) == "2.2\u00a0h"


def test_temperature_difference_is_not_shifted():
    assert show(50.0, "temperature_difference", "inch") == "90\u00a0°F"


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (0.03175, "length", "metric", "31.75"), (1.125, "mass_kg", "metric", "1.1250"),
        (0.0127, "length", "inch", "0.5"), (1123.15, "temperature", "metric", "850"),
        (1123.15, "temperature", "inch", "1562"),
        (0.1 + 0.2, "length", "metric", "300"),
        (1.2345, "mass", "metric", "1234.5"), (0.0, "length", "metric", "0"),
        (0.12, "percent", "metric", "12"), (math.pi / 12, "angle", "metric", "15"),
        (9000.0, "hours", "metric", "2.5"), (1e-20, "length", "metric", "0"),
    ],
)  # fmt: skip
def test_box_shows_the_number_alone(value, kind, system, text):
    assert edit(value, kind, system) == text


def test_box_of_nothing_is_empty():
    assert edit(None, "length") == ""


def test_box_speaks_the_language():
    assert edit(1.125, "mass_kg", language="de") == "1,1250"


def test_limit_is_named_exactly():
    assert exact(0.00025, "length") == "0.25\u00a0mm"
    assert exact(math.pi / 12, "angle") == "15°"


@given(
    st.integers(1, 10**9 - 1),
    st.integers(0, 6),
    st.sampled_from(sorted(KINDS)),
    st.sampled_from(SYSTEMS),
)
def test_nine_typed_figures_come_back_to_the_last_bit(digits, places, kind, system):
    unit = unit_of(kind, system)
    typed = to_si(write_number(Decimal(digits).scaleb(-places)), kind, unit)
    assert to_si(edit(typed, kind, system), kind, unit) == typed


@given(
    st.floats(1e-5, 1e5, allow_nan=False),
    st.sampled_from(sorted(KINDS)),
    st.sampled_from(SYSTEMS),
    st.sampled_from(["en", "de", "de-ch"]),
)
def test_box_never_writes_what_it_would_be_asked_about(value, kind, system, language):
    text, unit = edit(value, kind, system, language), unit_of(kind, system)
    again = to_si(text, kind, unit)
    # Nine figures, of a temperature counted from its own zero point, or 1e-12 units.
    size = value + (300 if kind == "temperature" else 0)
    least = 1e-12 * abs(to_si("1", kind, unit))
    assert abs(again - value) <= 5e-9 * size + least
    assert edit(again, kind, system, language) == text


def test_ten_thousand_trips_over_the_inch_keep_within_a_hundredth_millimetre():
    rng, worst = random.Random(254), 0.0
    for _ in range(10_000):
        start = round(rng.uniform(0.05, 3000), 2) / 1000
        inches = edit(start, "length", "inch")
        back = to_si(edit(to_si(inches, "length", "in"), "length"), "length")
        worst = max(worst, abs(back - start))
    assert worst < 0.01e-3


def test_every_kind_is_both_typed_and_shown():
    assert set(KINDS) == set(DISPLAYS)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_unit_can_be_converted(kind, system):
    for unit in KINDS[kind].units:
        assert to_si(f"300 {unit}", kind) > 0
    assert unit_of(kind, system) in {*KINDS[kind].units, ""}
    assert label_unit(kind, system) is not None
    assert show(1.0, kind, system)


def test_unknown_system_is_a_fault_and_not_metric():
    with pytest.raises(KeyError):
        show(0.025, "length", "cubits")


def test_pint_waits_for_the_first_quantity():
    """The registry takes a third of a second, so a command without units never pays."""
    code = "import sys, billets.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
