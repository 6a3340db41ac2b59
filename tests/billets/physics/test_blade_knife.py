"""One knife weighed before it is made, and what is refused."""

import math
from dataclasses import replace

import pytest

from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES
from billets.physics.grinds import GRIND_LABELS
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import MEASURED, KnifeSpec, default_spec
from billets.physics.materials import MATERIALS
from billets.physics.parts import balance_point, total_mass

TOTALS = [  # steel, handle, total in g, balance and overall length in mm
    ("chef", 153.3, 33.2, 186.5, 4.0, 334),
    ("gyuto", 121.7, 39.7, 161.4, 19.4, 357),
    ("santoku", 103.3, 38.7, 142.0, 13.6, 311),
    ("petty", 43.3, 25.9, 69.2, -7.8, 280),
    ("paring", 20.3, 20.8, 41.1, -28.5, 208),
    ("nakiri", 116.7, 39.3, 156.0, 23.1, 308),
    ("sujihiki", 115.3, 36.8, 152.1, 35.6, 422),
    ("boning", 70.1, 23.4, 93.5, -24.1, 273),
    ("bread", 129.3, 31.0, 160.4, 29.6, 366),
    ("cleaver", 257.4, 48.3, 305.6, 61.0, 340),
    ("yanagiba", 156.1, 32.7, 188.8, 43.3, 426),
    ("deba", 223.6, 37.6, 261.2, 16.4, 319),
]


@pytest.mark.parametrize(
    ("key", "steel", "handle", "total", "balance", "overall"), TOTALS
)
def test_pinned_family_knives(key, steel, handle, total, balance, overall):
    """Regression values of this model, not outside values."""
    knife = weigh_knife(default_spec(key))
    grams = [knife.steel_mass * 1e3, knife.handle_mass * 1e3, knife.mass * 1e3]
    assert grams == pytest.approx([steel, handle, total], abs=0.1)
    assert knife.balance * 1e3 == pytest.approx(balance, abs=0.06)
    assert knife.overall_length * 1e3 == pytest.approx(overall)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_usual_knife_weighs_what_is_usual(key):
    """Common practice and makers' reports: the range of the family."""
    knife, kind = weigh_knife(default_spec(key)), FAMILIES[key]
    assert kind.mass.low <= knife.mass <= kind.mass.high
    assert not [flag for flag in knife.flags if flag.level != "note"]


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("part", ["heel", "middle", "tip"])
def test_mass_rises_with_every_thickness(key, part):
    """Law: more steel weighs more."""
    spec = default_spec(key)
    field = f"{part}_thickness"
    room = {
        "heel": 1.1 * spec.heel_thickness,
        "middle": (spec.heel_thickness + spec.middle_thickness) / 2,
        "tip": (spec.middle_thickness + spec.tip_thickness) / 2,
    }
    thicker = weigh_knife(replace(spec, **{field: room[part]}))
    assert thicker.blade_mass > weigh_knife(spec).blade_mass


@pytest.mark.parametrize("key", list(FAMILIES))
def test_denser_handle_moves_the_balance_toward_it(key):
    """Law of the lever."""
    spec = default_spec(key)
    woods = sorted((m for m in MATERIALS.values() if m.body), key=lambda m: m.density)
    places = [
        weigh_knife(replace(spec, handle_material=wood.key)).balance for wood in woods
    ]
    assert places == sorted(places, reverse=True)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_parts_sum_to_the_knife(key):
    """Conservation of mass, and the law of the lever."""
    knife = weigh_knife(default_spec(key))
    assert total_mass(knife.parts) == pytest.approx(knife.mass)
    assert knife.steel_mass + knife.handle_mass == pytest.approx(knife.mass)
    assert balance_point(knife.parts) == pytest.approx(knife.balance)
    assert knife.blank.mass - knife.blank.ground_off == pytest.approx(knife.steel_mass)


def test_steel_masses_follow_the_density_of_the_billet():
    """Law: mass is density times volume."""
    spec = default_spec("gyuto")
    light, heavy = (
        weigh_knife(replace(spec, steel_density=d)) for d in (7700.0, 7900.0)
    )
    assert heavy.steel_mass / light.steel_mass == pytest.approx(7900 / 7700)
    assert heavy.blank.mass / light.blank.mass == pytest.approx(7900 / 7700)
    assert heavy.handle_mass == pytest.approx(light.handle_mass)


def test_bands_hold_the_value():
    """Common practice, no source: ten per cent of the mass; by part for the balance."""
    knife = weigh_knife(default_spec("gyuto"))
    assert knife.mass_low == pytest.approx(0.9 * knife.mass)
    assert knife.mass_high == pytest.approx(1.1 * knife.mass)
    sway = knife.balance_high - knife.balance
    assert knife.balance - knife.balance_low == pytest.approx(sway)
    assert 0.002 < sway < 0.008


SENSITIVITY = [  # change in mm, grams more
    ({"height": 1.0}, 2.0),
    ({"middle_thickness": 0.3}, 8.0),
    ({"behind_edge": 0.1}, 1.6),
    ({"length": 3.0}, 1.4),
]


@pytest.mark.parametrize(("change", "grams"), SENSITIVITY)
def test_pinned_sensitivity_of_a_gyuto(change, grams):
    """Regression values of this model, not outside values."""
    spec = default_spec("gyuto")
    changed = {field: getattr(spec, field) + by * 1e-3 for field, by in change.items()}
    more = weigh_knife(replace(spec, **changed)).mass - weigh_knife(spec).mass
    assert more * 1e3 == pytest.approx(grams, abs=0.06)


def test_a_wider_bevel_and_a_fuller_grind_weigh_as_they_should():
    """Law: full flat takes most, then wide bevel at 65 %, then convex at 75 %."""
    spec = replace(default_spec("gyuto"), tip_thickness=0.0012)
    flat, wide, convex = (
        weigh_knife(replace(spec, grind=grind)).blade_mass
        for grind in ("full_flat", "wide_bevel", "convex")
    )
    assert flat < wide
    assert flat < convex
    assert convex == weigh_knife(spec).blade_mass


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("grind", list(GRIND_LABELS))
def test_every_grind_can_be_weighed_on_every_family(key, grind):
    """By definition of the choice; a single bevel gets its least spine."""
    spec = replace(default_spec(key), grind=grind)
    if grind == "single_bevel":
        spec = replace(spec, heel_thickness=max(spec.heel_thickness, 0.003))
    assert weigh_knife(spec).mass > 0


def test_single_bevel_family_keeps_its_own_single_bevel():
    spec = default_spec("deba")
    chosen = weigh_knife(replace(spec, grind="single_bevel"))
    assert chosen.blade_mass == weigh_knife(spec).blade_mass


@pytest.mark.parametrize("key", list(FAMILIES))
def test_other_tang_lends_a_handle_from_a_like_family(key):
    """By definition of the lent fittings; scales on a full tang, and back."""
    spec = default_spec(key)
    if spec.tang == "full":
        other = replace(spec, tang="hidden", handle="octagon", ferrule="horn")
    else:
        other = replace(spec, tang="full", handle="scales", ferrule=None)
    knife = weigh_knife(other)
    names = [part.name for part in knife.parts]
    assert ("pins" in names) == (other.tang == "full")
    assert ("ferrule" in names) == (other.tang == "hidden")
    assert knife.blade_mass == weigh_knife(spec).blade_mass


def test_full_tang_weighs_more_than_a_hidden_one():
    """Common practice, no source: western handles are heavier and balance back."""
    hidden = default_spec("gyuto")
    full = replace(hidden, tang="full", handle="scales", ferrule=None)
    assert weigh_knife(full).steel_mass > weigh_knife(hidden).steel_mass
    assert weigh_knife(full).balance < weigh_knife(hidden).balance


def test_bolster_moves_the_balance_back_and_adds_its_mass():
    """Law of the lever."""
    spec = default_spec("chef")
    with_it = weigh_knife(replace(spec, bolster_mass=0.045))
    assert with_it.mass - weigh_knife(spec).mass == pytest.approx(0.045)
    assert with_it.balance < weigh_knife(spec).balance


def test_metal_ferrule_is_a_short_collar():
    """Common practice, no source."""
    spec = replace(default_spec("gyuto"), ferrule="brass")
    ferrule = next(part for part in weigh_knife(spec).parts if part.name == "ferrule")
    assert ferrule.centre == pytest.approx(-0.012 - 0.005, abs=1e-4)


def test_knife_without_a_ferrule_is_wood_to_the_front():
    spec = replace(default_spec("gyuto"), ferrule=None)
    assert "ferrule" not in [part.name for part in weigh_knife(spec).parts]


LENGTHS = [(key, part) for key in FAMILIES for part in (0.5, 0.75, 1.0, 1.5, 2.0)]


@pytest.mark.parametrize(("key", "part"), LENGTHS)
def test_usual_knife_of_any_length_can_be_weighed(key, part):
    """From half the least length to twice the greatest; only outsiders are flagged."""
    kind = FAMILIES[key]
    ends = {0.5: kind.length.low / 2, 2.0: kind.length.high * 2}
    length = ends.get(part, part * kind.length.typical)
    knife = weigh_knife(default_spec(key, length))
    assert math.isfinite(knife.mass)
    outside = not kind.length.low <= length <= kind.length.high
    assert outside == ("length" in [f.field for f in knife.flags if f.level == "amber"])


def test_thickness_of_another_length_goes_with_its_root():
    """Common practice, no source."""
    short, long = default_spec("gyuto", 0.180), default_spec("gyuto", 0.270)
    ratio = math.sqrt(270 / 180)
    assert long.heel_thickness / short.heel_thickness == pytest.approx(ratio)
    assert long.middle_thickness / short.middle_thickness == pytest.approx(ratio)
    assert long.tip_thickness == short.tip_thickness


def test_size_outside_the_usual_is_flagged_with_the_range():
    spec = replace(default_spec("gyuto"), height=0.060)
    flag = next(f for f in weigh_knife(spec).flags if f.level == "amber")
    assert flag.field == "height"
    assert flag.values == pytest.approx({"value": 0.060, "low": 0.043, "high": 0.055})


def test_wood_that_needs_papers_is_noted():
    """Common practice, no source: some rosewoods and ebonies."""
    spec = replace(default_spec("gyuto"), handle_material="ebony")
    assert "handle_material" in [flag.field for flag in weigh_knife(spec).flags]


def test_tight_allowance_is_flagged():
    spec = replace(default_spec("gyuto"), allowance="tight")
    assert "allowance" in [flag.field for flag in weigh_knife(spec).flags]


REFUSED = [
    ("gyuto", {"heel_thickness": 0.0021}, "heel_thickness"),
    ("gyuto", {"tip_thickness": 0.0025}, "middle_thickness"),
    ("gyuto", {"tip_thickness": 0.0004, "behind_edge": 0.0001}, "tip_thickness"),
    ("gyuto", {"behind_edge": 0.0007, "tip_thickness": 0.0006}, "behind_edge"),
    ("gyuto", {"height": 0.106}, "height"),
    ("gyuto", {"length": 0.089}, "length"),
    ("gyuto", {"length": 0.541}, "length"),
    ("gyuto", {"height": 0.021}, "height"),
    ("gyuto", {"heel_thickness": 0.0081}, "heel_thickness"),
    ("gyuto", {"behind_edge": 0.00071}, "behind_edge"),
    ("gyuto", {"edge_angle": math.radians(31)}, "edge_angle"),
    ("gyuto", {"handle_length": 0.301}, "handle_length"),
    ("gyuto", {"neck_length": 0.033}, "neck_length"),
    (
        "yanagiba",
        {"heel_thickness": 0.0029, "middle_thickness": 0.0026},
        "heel_thickness",
    ),
    ("santoku", {"grind": "single_bevel"}, "heel_thickness"),
    ("gyuto", {"handle": "scales"}, "handle"),
    ("chef", {"handle": "octagon"}, "handle"),
    ("chef", {"ferrule": "horn"}, "ferrule"),
    ("chef", {"tang_length": 0.080}, "tang_length"),
    ("gyuto", {"tang_length": 0.131}, "tang_length"),
    ("gyuto", {"tang_length": 0.010}, "tang_length"),
    ("gyuto", {"handle_material": "horn"}, "handle_material"),
    ("gyuto", {"handle_material": ""}, "handle_material"),
    ("gyuto", {"ferrule": "walnut"}, "ferrule"),
    ("gyuto", {"ferrule": "tin"}, "ferrule"),
    ("gyuto", {"bolster_mass": 0.5}, "bolster_mass"),
    ("gyuto", {"steel_density": 2700.0}, "steel_density"),
    ("gyuto", {"family": ""}, "family"),
    ("gyuto", {"grind": ""}, "grind"),
    ("gyuto", {"forging": "cast"}, "forging"),
    ("gyuto", {"tang": "none"}, "tang"),
    ("gyuto", {"handle": "round"}, "handle"),
    ("gyuto", {"allowance": ""}, "allowance"),
]


@pytest.mark.parametrize(("key", "change", "field"), REFUSED)
def test_what_cannot_be_made_is_refused_by_its_field(key, change, field):
    """Common practice, no source: the form rules, and what goes together."""
    with pytest.raises(PlanError) as refusal:
        weigh_knife(replace(default_spec(key), **change))
    assert refusal.value.field == field
    sentence = refusal.value.message.format(**refusal.value.values)
    assert sentence.endswith(".")


@pytest.mark.parametrize("field", MEASURED)
@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0])
def test_what_is_no_size_is_refused(field, value):
    with pytest.raises(PlanError) as refusal:
        weigh_knife(replace(default_spec("gyuto"), **{field: value}))
    assert refusal.value.field == field


def test_cleaver_may_be_higher_than_half_its_length():
    """Common practice, no source."""
    spec = replace(default_spec("cleaver"), length=0.180, height=0.100)
    assert weigh_knife(spec).mass > 0


def test_spec_names_stay_as_agreed():
    """The forms use the same names, so that a refusal lands beside its box."""
    assert set(MEASURED) < set(KnifeSpec.__dataclass_fields__)
