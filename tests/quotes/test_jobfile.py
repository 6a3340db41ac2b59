"""A job file is understood whole, or every mistake in it is told with its key."""

from decimal import Decimal

import pytest

from billets.physics import steps
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.knife_spec import KnifeSpec
from billets.units import to_si
from quotes.job_keys import EQUIPMENT, KNIFE, NOT_OF_THE_SPEC, STEPS
from quotes.jobfile import JobFileError, read_job

COMPLETE = """
[[knives]]
name = "Kitchen knife for Wenna"
family = "gyuto"
length = "8 1/4 in"
height = "47 mm"
heel_thickness = "2.9 mm"
middle_thickness = "2.2 mm"
tip_thickness = "1.1 mm"
grind = "convex"
behind_edge = "0.25 mm"
edge_angle = "13°"
forging = "bevel"
tang = "hidden"
neck_length = "11 mm"
tang_length = "92 mm"
handle = "octagon"
handle_material = "walnut"
handle_length = "132 mm"
ferrule = "horn"
bolster_mass = "0 g"
allowance = "typical"
finish = "hand rubbed, etched dark"
hardness = "61 HRC"
handle_price = "24.50"

[[knives]]
family = "petty"

[billet]
length = "132 mm"
width = "38 mm"
order = "ABABABABCBA"
bars.A = { steel = "1084", thickness = "3.2 mm", price = "8.40" }
bars.B = { steel = "15N20", thickness = "1/16 in", width = "40 mm", length = "1 m" }
bars.C = { steel = "1095", thickness = "2.5 mm" }

[[steps]]
do = "weld"
temperature = "1220 °C"
heats = 2

[[steps]]
do = "draw"
width = "36 mm"
thickness = "11 mm"
temperature = "2100 F"

[[steps]]
do = "trim"
per_end = "8 mm"

[[steps]]
do = "grind"
face = "0.4 mm"
edge = "0.2 mm"

[[steps]]
do = "cut"
pieces = 4
turned = true

[[steps]]
do = "fold"

[[steps]]
do = "twist"
turns = 3.5
octagon = false

[[steps]]
do = "ladder"
groove_shape = "round"
depth = "2.5 mm"
groove = "4 mm"
pitch = "11 mm"

[[steps]]
do = "dimple"
drill = "7 mm"
point = "118°"
depth = "2 mm"
pitch = "12 mm"

[[steps]]
do = "core"
core = "A"

[equipment]
atmosphere = "rich"
wall_temperature = "1300 °C"
door_width = "12 cm"
door_height = "9 cm"
gas_rate = "1.3 kg/h"
preheat = "18 min"
tool = "press"
strain = "0.33"
kerf = "1.4 mm"

[rates]
labour = "57.50"
margin = "12,5 %"
hours_grind_most = "11"
"""

LEAST = """
[[knives]]
family = "nakiri"
[billet]
length = "120 mm"
width = "34 mm"
pieces = 9
bars.A = { steel = "80CrV2", thickness = "4 mm" }
bars.B = { steel = "15N20", thickness = "2 mm" }
[[steps]]
do = "weld"
[[steps]]
do = "draw"
width = "40 mm"
thickness = "7 mm"
"""


def read(text):
    return read_job(text, to_si)


def problems(text):
    """The keys complained of, with the sentence of each."""
    with pytest.raises(JobFileError) as refused:
        read(text)
    return {one.field: one.message for one in refused.value.problems}


def test_a_complete_file_is_read_into_si():
    job = read(COMPLETE)
    gyuto, petty = job.knives
    assert (gyuto.name, gyuto.family) == ("Kitchen knife for Wenna", "gyuto")
    assert gyuto.given["length"] == pytest.approx(0.20955)
    assert gyuto.given["edge_angle"] == pytest.approx(0.22689, abs=1e-5)
    assert gyuto.given["handle_material"] == "walnut"
    assert (gyuto.hardness, gyuto.handle_price) == (61, Decimal("24.50"))
    assert (petty.name, petty.family, dict(petty.given)) == ("", "petty", {})
    assert (job.length, job.width, job.order) == (0.132, 0.038, "ABABABABCBA")
    assert job.bars["B"].thickness == pytest.approx(0.0015875)
    assert (job.bars["A"].price, job.bars["B"].price) == (Decimal("8.40"), None)
    assert (job.bars["A"].width, job.bars["B"].length) == (None, 1.0)


def test_steps_and_equipment_are_read_into_si():
    job = read(COMPLETE)
    assert job.steps[0] == {"kind": "weld", "temperature": 1493.15, "heats": 2}
    assert job.steps[1]["temperature"] == pytest.approx(1422.04, abs=0.01)
    assert job.steps[4] == {"kind": "cut", "pieces": 4, "turned": True}
    assert [step["kind"] for step in job.steps] == list(STEPS)
    assert (job.steps[6]["turns"], job.steps[6]["octagon"]) == (3.5, False)
    assert job.steps[8]["point"] == pytest.approx(2.0595, abs=1e-4)
    assert job.equipment["gas_rate"] == pytest.approx(1.3 / 3600)
    assert (job.equipment["preheat"], job.equipment["strain"]) == (1080, 0.33)


def test_rates_of_a_job_are_read_as_written():
    assert read(COMPLETE).rates == {
        "labour": Decimal("57.50"), "margin": Decimal("12.5"),
        "hours_grind_most": Decimal(11),
    }  # fmt: skip


def test_what_is_left_out_stays_out():
    job = read(LEAST)
    assert job.order == "ABABABABA"
    assert (dict(job.equipment), dict(job.rates)) == ({}, {})
    assert job.steps[0] == {"kind": "weld"}


def test_order_may_say_what_repeats_as_on_the_page():
    job = read(LEAST.replace("pieces = 9", 'order = "4(AB)A"'))
    assert job.order == "ABABABABA"


def test_keys_are_the_names_the_physics_uses():
    assert set(KNIFE) - NOT_OF_THE_SPEC <= set(KnifeSpec.__dataclass_fields__)
    of_equipment = {*Forge.__dataclass_fields__, *Tool.__dataclass_fields__}
    assert set(EQUIPMENT) - {"tool"} <= of_equipment | set(Saw.__dataclass_fields__)
    for kind, keys in STEPS.items():
        told = set(keys) - {"core"}  # a letter, for a steel and its thickness
        assert told <= set(getattr(steps, kind.title()).__dataclass_fields__)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('family = "nakiri"', "", "knives[1].family"),
        ('family = "nakiri"', 'family = ""', "knives[1].family"),
        ('family = "nakiri"', "family = 7", "knives[1].family"),
        ('family = "nakiri"', 'family = "a"\nlenght = "2 in"', "knives[1].lenght"),
        ('family = "nakiri"', 'family = "a"\nlength = 210', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nlength = "210"', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nlength = "210 g"', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nlength = "wide"', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nlength = "1.500 m"', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nlength = "-5 mm"', "knives[1].length"),
        ('family = "nakiri"', 'family = "a"\nhardness = "61"', "knives[1].hardness"),
        ('family = "nakiri"', 'family = "a"\nhardness = 61', "knives[1].hardness"),
        ('family = "nakiri"', "handle_price = 9.5", "knives[1].handle_price"),
        ("[[knives]]", "[knives]", "knives"),
        ('length = "120 mm"', "", "billet.length"),
        ('length = "120 mm"', "length = 120", "billet.length"),
        ("pieces = 9", "", "billet.order"),
        ("pieces = 9", 'pieces = 9\norder = "AB"', "billet.order"),
        ("pieces = 9", "pieces = 0", "billet.pieces"),
        ("pieces = 9", "pieces = true", "billet.pieces"),
        ("pieces = 9", "pieces = 401", "billet.pieces"),
        ("pieces = 9", "pieces = 99999999999", "billet.pieces"),
        ("pieces = 9", "pieces = 1", "billet.bars.B"),
        ("pieces = 9", 'order = "ABX"', "billet.order"),
        ("pieces = 9", 'order = "4(AB"', "billet.order"),
        ("pieces = 9", 'order = "AAA"', "billet.bars.B"),
        ("bars.B = {", "bars.BB = {", "billet.bars.BB"),
        ("bars.B = {", "bars.B = 3 #", "billet.bars.B"),
        (', thickness = "2 mm" }', "}", "billet.bars.B.thickness"),
        ('do = "weld"', 'do = "glue"', "steps[1].do"),
        ('do = "weld"', "", "steps[1].do"),
        ('do = "weld"', 'do = "weld"\nheats = "3"', "steps[1].heats"),
        ('do = "weld"', 'do = "weld"\ntemperature = 1230', "steps[1].temperature"),
        ('do = "weld"', 'do = "weld"\nwidth = "3 mm"', "steps[1].width"),
        ('do = "weld"', 'do = "cut"\npieces = 3\nturned = 1', "steps[1].turned"),
        ('do = "weld"', 'do = "cut"', "steps[1].pieces"),
        ('thickness = "7 mm"', "", "steps[2].thickness"),
    ],
)
def test_a_mistake_is_told_with_its_key(old, new, key):
    assert old in LEAST
    assert key in problems(LEAST.replace(old, new, 1))


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("labour = 57.5", "rates.labour"),
        ('labour = "57.50 %"', "rates.labour"),
        ('labour = "-1"', "rates.labour"),
        ('labour = "1,500"', "rates.labour"),
        ('margin = "15"', "rates.margin"),
        ('margin = "0.15"', "rates.margin"),
        ('margin = "100 %"', "rates.margin"),
        ('no_such_rate = "1"', "rates.no_such_rate"),
        ('restart_forge = "2"', "rates.restart_forge"),
    ],
)
def test_a_rate_is_refused_by_its_key(line, key):
    assert set(problems(f"{LEAST}\n[rates]\n{line}\n")) == {key}


def test_everything_wrong_is_told_at_once():
    wrong = COMPLETE
    for old, new in [
        ('family = "petty"', 'colour = "red"'),
        ('height = "47 mm"', "height = 47"),
        ('kerf = "1.4 mm"', 'kerf = "1.4 kg"'),
        ("heats = 2", "heats = 0"),
        ('labour = "57.50"', "labour = 57.5"),
    ]:
        wrong = wrong.replace(old, new)
    assert list(problems(wrong + '\n[shop]\nname = "x"\n')) == [
        "shop", "knives[1].height", "knives[2].colour", "knives[2].family",
        "steps[1].heats", "equipment.kerf", "rates.labour",
    ]  # fmt: skip


def test_an_unknown_key_is_answered_with_the_known_ones():
    with pytest.raises(JobFileError) as refused:
        read(LEAST.replace("[billet]", "[billet]\nlenght = 3"))
    assert "length, width" in refused.value.problems[0].values["keys"]


def test_an_ambiguous_number_is_answered_with_both_readings():
    with pytest.raises(JobFileError) as refused:
        read(LEAST.replace('"120 mm"', '"1.200 mm"'))
    values = refused.value.problems[0].values
    assert (values["first"], values["second"]) == (1200, Decimal("1.2000"))


@pytest.mark.parametrize("text", ["", "[[knives]]\nfamily = 'petty'"])
def test_missing_tables_are_named(text):
    missing = set(problems(text))
    assert {"billet", "steps"} <= missing
    assert ("knives" in missing) == (not text)


NO_TOML = ["knives = ", "[billet\n", "a = 1\na = 2", "\x00", "a = " + "[" * 9999]


@pytest.mark.parametrize("text", NO_TOML, ids=["value", "[", "twice", "NUL", "deep"])
def test_a_file_that_is_no_toml_is_refused(text):
    assert list(problems(text)) == [""]


@pytest.mark.parametrize(
    "text", ["knives = []", "knives = 3", "knives = [1]", "billet = 3", "steps = 'x'",
             "equipment = []", "rates = 1", "knives = [[]]"],
)  # fmt: skip
def test_a_table_of_the_wrong_kind_is_refused(text):
    assert text.split()[0] in problems(text)
