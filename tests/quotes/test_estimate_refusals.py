"""Whatever a job file gets wrong: status 2, one sentence each, naming the key."""

import re

import pytest

from tests.quotes.estimates import JOB, as_json, changed, command, run

__all__ = ["as_json", "run"]

FIRST = 'length = "245 mm"'
DRAW = 'thickness = "10 mm"'
TRIM = 'do = "trim"'
WELD = 'do = "weld"'
B = "bars.B = { steel = "
KNIVES = [
    (FIRST, 'length = "0 mm"', "knives[1].length"),
    (FIRST, 'length = "2 m"', "knives[1].length"),
    (FIRST, "length = 245", "knives[1].length"),
    (FIRST, 'length = "245"', "knives[1].length"),
    (FIRST, 'lenght = "245 mm"', "knives[1].lenght"),
    (FIRST, FIRST + '\nheight = "150 mm"', "knives[1].height"),
    (FIRST, FIRST + '\nheel_thickness = "1.5 mm"', "knives[1].heel_thickness"),
    (FIRST, FIRST + '\nmiddle_thickness = "0.8 mm"', "knives[1].middle_thickness"),
    (FIRST, FIRST + '\nhandle_material = "marble"', "knives[1].handle_material"),
    (FIRST, FIRST + '\nhandle = "scales"', "knives[1].handle"),
    (FIRST, FIRST + '\ntang = "middling"', "knives[1].tang"),
    (FIRST, FIRST + '\nferrule = "walnut"', "knives[1].ferrule"),
    (FIRST, FIRST + '\ngrind = "round"', "knives[1].grind"),
    (FIRST, FIRST + '\nhardness = "61"', "knives[1].hardness"),
    ('family = "petty"', 'family = "pretty"', "knives[2].family"),
    ('family = "petty"', "", "knives[2].family"),
]
STACKS = [
    ('length = "150 mm"', "", "billet.length"),
    ('length = "150 mm"', 'length = "0 mm"', "billet.length"),
    ('length = "150 mm"', 'length = "1200 mm"', "billet.length"),
    ('length = "150 mm"', 'length = "6 m"', "billet.length"),
    ('width = "34 mm"', 'width = "0 mm"', "billet.width"),
    (', thickness = "3.5 mm"', ', thickness = "3.5 mm", width = "30 mm"',
     "billet.width"),
    ('thickness = "3.5 mm"', 'thickness = "0 mm"', "billet.bars.A.thickness"),
    (B + '"15N20"', B + '"80CrV2"', "billet.bars"),
    (B + '"15N20"', B + '"mithril"', "billet.bars.B.steel"),
    ("pieces = 11", "pieces = 0", "billet.pieces"),
    ("pieces = 11", "pieces = 900", "billet.pieces"),
    ("pieces = 11", 'order = "ABC"', "billet.order"),
    ('price = "17.20"', "price = 17.20", "billet.bars.B.price"),
]  # fmt: skip
STEPS = [
    (WELD, WELD + '\ntemperature = "1400 °C"', "steps[1].temperature"),
    (WELD, WELD + '\ntemperature = "700 °C"', "steps[1].temperature"),
    (WELD, WELD + "\nheats = 300", "steps[1].heats"),
    (WELD, 'do = "solder"', "steps[1].do"),
    (WELD, 'do = "fold"', "steps[1].do"),
    (DRAW, 'thickness = "60 mm"', "steps[2].thickness"),
    (DRAW, 'thickness = "0 mm"', "steps[2].thickness"),
    ('width = "33 mm"', 'width = "200 mm"', "steps[2].width"),
    ('width = "33 mm"', "", "steps[2].width"),
    (TRIM, TRIM + '\nper_end = "300 mm"', "steps[3].per_end"),
    ('do = "grind"', 'do = "grind"\nface = "6 mm"', "steps[4].face"),
    ("pieces = 3", "pieces = 0", "steps[5].pieces"),
    ("pieces = 3", "pieces = 1", "steps[5].pieces"),
    ("pieces = 3", "pieces = 30", "steps[5].pieces"),
    ('do = "cut"\npieces = 3', 'do = "grind"\n[[steps]]\ndo = "cut"\npieces = 40',
     "steps[6].pieces"),
]  # fmt: skip
EQUIPMENT = [
    ('door_width = "25 mm"\ndoor_height = "60 mm"', "equipment.door_width"),
    ('wall_temperature = "1200 °C"', "equipment.wall_temperature"),
    ('atmosphere = "windy"', "equipment.atmosphere"),
    ('tool = "anvil"', "equipment.tool"),
    ('strain = "9"', "equipment.strain"),
    ('force = "0 kN"', "equipment.force"),
    ('force = "4 kN"', "equipment.force"),
    ('force = "70 kN"\ndie = "0.1 mm"', "equipment.die"),
    ('force = "70 kN"\nsqueeze = "5 min"', "equipment.squeeze"),
    ('tool = "hand"\nforce = "70 kN"', "equipment.force"),
    ('gas_rate = "1.4"', "equipment.gas_rate"),
    ('kerf = "1.5 kg"', "equipment.kerf"),
]


def refused(run, text, *keys, options=()):
    """What is complained of; each line begins with its key."""
    status, out, err = run(text, *options)
    assert (status, out) == (2, "")
    lines = err.splitlines()
    assert [line.partition(": ")[0] for line in lines] == list(keys)
    for line in lines:
        said = line.partition(": ")[2]
        assert said.endswith(".")
        assert not re.search(r"[{}]|\bNone\b|\bnan\b", said)
    return err


@pytest.mark.parametrize(("old", "new", "key"), [*KNIVES, *STACKS, *STEPS])
def test_a_mistake_ends_with_its_key(run, old, new, key):
    refused(run, changed(old, new), key)


@pytest.mark.parametrize(("lines", "key"), EQUIPMENT)
def test_equipment_that_cannot_be_is_refused(run, lines, key):
    refused(run, f"{JOB}[equipment]\n{lines}\n", key)


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("labour = 55", "rates.labour"),
        ('margin = "15"', "rates.margin"),
        ('smith = "55"', "rates.smith"),
        ('hours_grind_most = "1"', "rates.hours_grind_most"),
    ],
)
def test_a_rate_that_cannot_be_is_refused(run, line, key):
    refused(run, f"{JOB}[rates]\n{line}\n", key)


def test_a_bar_wider_than_the_forge_door_names_the_door(run):
    wide = changed('width = "34 mm"', 'width = "160 mm"')
    said = refused(run, wide, "equipment.door_width")
    assert "160 mm" in said
    assert "150 mm" in said


def test_a_weld_after_which_nothing_is_left_names_the_step(run):
    thin = changed("pieces = 11", "pieces = 2")
    thin = changed('thickness = "3.5 mm"', 'thickness = "0.9 mm"', thin)
    thin = changed('thickness = "2 mm"', 'thickness = "0.9 mm"', thin)
    said = refused(run, changed(WELD, WELD + "\nheats = 25", thin), "steps[1]")
    assert "Nothing is left" in said


def test_a_fold_of_a_bar_too_short_names_the_step(run, as_json):
    """A fold has no key of its own for a number of pieces."""
    fold = changed('do = "cut"\npieces = 3', 'do = "fold"')
    drawn = as_json(fold)["plan"]["steps"][2]["length_mm"]
    end = f'\nper_end = "{drawn / 2 - 5:.1f} mm"'
    refused(run, changed(TRIM, TRIM + end, fold), "steps[5]")


def test_a_steel_nobody_has_is_answered_with_those_there_are(run):
    said = refused(run, changed(B + '"15N20"', B + '"mithril"'), "billet.bars.B.steel")
    assert "80crv2" in said


def test_a_spine_thinner_at_the_heel_is_told_in_its_unit(run):
    thin = changed(FIRST, FIRST + '\nheel_thickness = "1.5 mm"')
    assert "1.5 mm" in refused(run, thin, "knives[1].heel_thickness")


def test_all_mistakes_of_a_file_are_told_at_once(run):
    wrong = changed(FIRST, "length = 245")
    wrong = changed('length = "150 mm"', "", wrong)
    wrong = changed("pieces = 3", "pieces = 0", wrong)
    refused(run, wrong, "knives[1].length", "billet.length", "steps[5].pieces")


def test_no_length_of_stack_is_enough_for_so_many_knives(run):
    many = JOB + '[[knives]]\nfamily = "cleaver"\n' * 60
    refused(run, many, "billet.length", options=("--fit", "99"))


def test_a_file_that_is_no_toml_is_refused(run):
    status, out, err = run("knives = ")
    assert (status, out) == (2, "")
    assert err.startswith("The file is not TOML")
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize("chance", ["0", "100", "-5", "nan", "1e9"])
def test_a_chance_that_is_none_is_refused(run, chance):
    status, out, err = run(JOB, f"--fit={chance}")
    assert (status, out) == (2, "")
    assert err.startswith("--fit: ")


@pytest.mark.usefixtures("run")
def test_no_such_file(tmp_path):
    status, out, err = command(tmp_path / "none.toml")
    assert (status, out) == (2, "")
    assert err.strip().endswith("none.toml: there is no such file.")


@pytest.mark.usefixtures("run")
def test_a_folder_or_a_picture_is_no_job(tmp_path):
    (tmp_path / "picture").write_bytes(b"\x89PNG\xff")
    for path in (tmp_path, tmp_path / "picture"):
        status, out, err = command(path)
        assert (status, out) == (2, "")
        assert "cannot be read as text" in err
