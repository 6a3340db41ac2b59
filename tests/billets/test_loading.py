"""Slips in the files of steels and equipment are refused, and the entry is named."""

import pytest

from billets import loading
from billets.physics.errors import PlanError

GOOD = """
[own]
name = "Own"
number = ""
family = "plain carbon"
carbon = { min = 0.7, nominal = 0.8, max = 0.9 }
etch = "dark"
harden_min = 790
harden_max = 820
quench_class = "oil"
quench_medium = "oil"
density = 7.85
bars = [[3.0, 40, 1000]]
note = ""
sources = { composition = "a", hardening = "b", etching = "c", density = "d" }
"""


def steels_of(tmp_path, text):
    path = tmp_path / "steels.toml"
    path.write_text(text, "utf-8")
    return loading.read_steels(path)


def test_the_smallest_steel_is_read(tmp_path):
    (steel,) = steels_of(tmp_path, GOOD)
    assert (steel.values["carbon"], steel.values["nickel"]) == (0.8, 0.0)
    assert steel.values["temper_for_60"] is None


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("nominal = 0.8", "nominal = 0.95"),
        ("nominal = 0.8,", ""),
        ("nominal = 0.8", 'nominal = "much"'),
        ("nominal = 0.8", "nominal = true"),
        ("nominal = 0.8", "usual = 0.8"),
        ("harden_max = 820", "harden_max = 720"),
        ("harden_max = 820", ""),
        ("density = 7.85", "density = -7.85"),
        ('etch = "dark"', 'etched = "dark"'),
        ('density = "d"', 'weight = "d"'),
        ("[3.0, 40, 1000]", "[3.0, 40]"),
        ("[3.0, 40, 1000]", "[40, 3.0, 1000]"),
    ],
)
def test_a_slip_is_refused_and_its_steel_named(tmp_path, right, wrong):
    assert right in GOOD
    with pytest.raises(PlanError) as caught:
        steels_of(tmp_path, GOOD.replace(right, wrong))
    assert caught.value.values["entry"] == "own"


def test_a_broken_file_is_named(tmp_path):
    with pytest.raises(PlanError) as caught:
        steels_of(tmp_path, "[own")
    assert caught.value.values["file"] == "steels.toml"


def equipment_of(tmp_path, text):
    path = tmp_path / "equipment.toml"
    path.write_text(text, "utf-8")
    return loading.read_equipment(path)


def test_equipment_states_what_its_kind_needs_and_no_more(tmp_path):
    (saw,) = equipment_of(tmp_path, '["Saw"]\nkind = "saw"\nkerf = 2')
    assert saw.values == {"kind": "saw", "kerf": 0.002}


@pytest.mark.parametrize(
    "text",
    [
        'kind = "saw"',
        'kind = "saw"\nkerf = 2\nstrain = 1',
        'kind = "lathe"',
        "kerf = 2",
    ],
)
def test_equipment_with_a_slip_is_named(tmp_path, text):
    with pytest.raises(PlanError) as caught:
        equipment_of(tmp_path, f'["Saw"]\n{text}')
    assert caught.value.values["entry"] == "Saw"
