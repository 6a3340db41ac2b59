"""The steels, bars and equipment a fresh shop starts with, and how they are loaded.

Names, prices and bars are the shop's own or invented; what the steels are is checked
against standards in ``test_steel_standards.py``.
"""

import re
import tomllib
from dataclasses import replace
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from billets import choices, loading, models
from billets.management.commands import load_steels
from billets.models import BarSize, Equipment, Steel
from billets.physics.materials import MATERIALS
from shop.models import Rate

ROOT = Path(__file__).resolve().parents[2]
STEELS = {entry.key: entry for entry in loading.read_steels()}
EQUIPMENT = {entry.name: entry for entry in loading.read_equipment()}
PRICES = tomllib.loads((ROOT / "shop/data/prices.toml").read_text("utf-8"))


def load(**options):
    said = StringIO()
    call_command("load_steels", stdout=said, **options)
    return said.getvalue()


def everything():
    return [
        list(model.objects.order_by("pk").values())
        for model in (Steel, BarSize, Equipment)
    ]


# --- the files -------------------------------------------------------------------


def test_there_are_23_steels():
    assert len(STEELS) == 23


def test_names_are_different_so_that_a_list_can_tell_them_apart():
    assert len({entry.values["name"] for entry in STEELS.values()}) == 23


@pytest.mark.parametrize("key", list(STEELS))
@pytest.mark.parametrize("element", loading.ELEMENTS)
def test_every_nominal_content_lies_within_its_limits(key, element):
    values = STEELS[key].values
    least, most = values[f"{element}_min"], values[f"{element}_max"]
    assert least is None or least <= values[element]
    assert most is None or values[element] <= most


@pytest.mark.parametrize("key", list(STEELS))
def test_every_steel_states_its_sources_honestly(key):
    source = STEELS[key].values["source"]
    assert [line.partition(":")[0] for line in source.splitlines()] == list(
        loading.SOURCES.values()
    )
    assert re.search(
        "published|quoted from memory, verify|[Cc]ommon practice, no source", source
    )


def test_every_element_of_the_file_has_its_columns():
    columns = {field.name for field in models.Steel._meta.fields}
    for one in loading.ELEMENTS:
        assert {one, f"{one}_min", f"{one}_max"} <= columns


def test_temperatures_become_kelvin_and_densities_kilograms():
    values = STEELS["o1"].values
    assert values["harden_min"] == pytest.approx(788 + 273.15)
    assert values["harden_max"] == pytest.approx(816 + 273.15)
    assert values["temper_for_60"] == pytest.approx(245 + 273.15)
    assert values["density"] == 7810.0


def test_what_does_not_harden_has_no_hardening_heat():
    soft = {
        key for key, entry in STEELS.items() if entry.values["quench_class"] == "none"
    }
    assert soft == {"mild-1010", "wrought-iron", "nickel"}
    assert all(STEELS[key].values["harden_min"] is None for key in soft)


@pytest.mark.parametrize("key", list(STEELS))
def test_every_steel_is_on_offer_40_mm_wide_so_that_stacks_can_be_mixed(key):
    assert 0.040 in {bar.width for bar in STEELS[key].bars}


@pytest.mark.parametrize("key", list(STEELS))
def test_bars_are_flats_as_dealers_sell_them(key):
    """Common practice, no source: 1.5 to 8 by 25 to 60 mm, up to 1 m; foil thinner."""
    thinnest = 0.0002 if key == "nickel" else 0.0015
    assert 2 <= len(STEELS[key].bars) <= 4
    for bar in STEELS[key].bars:
        assert thinnest <= bar.thickness <= 0.008
        assert 0.025 <= bar.width <= 0.060
        assert 0.5 <= bar.length <= 1.0


def test_equipment_covers_every_kind():
    assert {one.values["kind"] for one in EQUIPMENT.values()} == {
        k for k, _ in choices.equipment()
    }


def test_equipment_is_in_si():
    forge = EQUIPMENT["Two-burner forge"].values
    assert forge["wall_temperature"] == pytest.approx(1573.15)
    assert (forge["door_width"], forge["door_height"]) == (0.150, 0.120)
    assert (forge["bottle"], forge["bottles"]) == (11.0, 2)
    assert "gas_rate" not in forge  # the usual one, until a bottle is weighed
    assert forge["preheat"] == 1200
    kerfs = [
        one.values["kerf"] for one in EQUIPMENT.values() if one.values["kind"] == "saw"
    ]
    assert kerfs == [0.0016, 0.0013, 0.003]


@pytest.mark.parametrize(
    "path", sorted((ROOT / "billets/data").glob("*.toml")), ids=lambda p: p.name
)
def test_no_price_is_in_the_data_of_billets(path):
    assert not re.search(
        r"(?i)[€$£]|\b(price|cost|eur|usd|gbp|per kg)s?\b", path.read_text("utf-8")
    )


# --- prices: invented, loaded by the shop ----------------------------------------


def test_every_steel_and_material_has_a_price_to_start_from():
    assert PRICES["steel"].keys() == STEELS.keys()
    assert PRICES["handle"].keys() == {
        key for key, one in MATERIALS.items() if one.body
    }
    assert PRICES["ferrule"].keys() == {
        key for key, one in MATERIALS.items() if one.ferrule
    }


@pytest.mark.parametrize("table", ["steel", "handle", "ferrule"])
def test_prices_are_exact_text_that_a_rate_can_hold(table):
    for key, text in PRICES[table].items():
        assert re.fullmatch(r"\d+\.\d\d", text)
        row = Rate(
            key=f"{table}.{key}",
            value=Decimal(text),
            valid_from="2026-01-01",
            note=PRICES["note"],
        )
        row.clean_fields(exclude=["id"])
        assert row.value > 0


# --- loading ---------------------------------------------------------------------


@pytest.mark.django_db
def test_a_fresh_shop_gets_all_of_it():
    said = load()
    assert "steels: 23 made, 0 kept" in said
    assert Steel.objects.count() == 23
    assert BarSize.objects.count() == sum(len(entry.bars) for entry in STEELS.values())
    assert Equipment.objects.count() == len(EQUIPMENT)
    assert Steel.objects.get(key="1084").harden_min == pytest.approx(1063.15)


@pytest.mark.django_db
@pytest.mark.parametrize("refresh", [False, True])
def test_loading_twice_changes_nothing(refresh):
    load()
    before = everything()
    said = load(refresh=refresh)
    assert everything() == before
    assert "steels: 0 made, 23 kept" in said
    assert "->" not in said


@pytest.mark.django_db
def test_what_the_shop_has_changed_survives():
    load()
    Steel.objects.filter(key="1084").update(carbon=0.84, note="heat 4711")
    press = Equipment.objects.filter(name="Small press")
    press.update(name="Blue press", strain=0.25)
    BarSize.objects.filter(steel__key="1084", thickness=0.006).delete()
    before = everything()
    load()
    assert everything() == before


@pytest.mark.django_db
def test_a_steel_that_is_missing_is_made_again_with_its_bars():
    load()
    BarSize.objects.filter(steel__key="l6").delete()
    Steel.objects.filter(key="l6").delete()
    assert "steels: 1 made, 22 kept" in load()
    assert BarSize.objects.filter(steel__key="l6").count() == len(STEELS["l6"].bars)


@pytest.mark.django_db
def test_refresh_sets_back_and_says_what_it_changes():
    load()
    Steel.objects.filter(key="1084").update(harden_min=1073.15)
    Steel.objects.create(
        key="own",
        name="From the old spring",
        carbon=0.6,
        etch="grey",
        quench_class="oil",
    )
    BarSize.objects.filter(steel__key="1084", thickness=0.006).delete()
    said = load(refresh=True).replace("\N{NO-BREAK SPACE}", " ")
    assert "1084, harden_min: 800 °C -> 790 °C" in said
    assert "1 set back" in said
    assert Steel.objects.get(key="1084").harden_min == pytest.approx(1063.15)
    assert BarSize.objects.filter(steel__key="1084", thickness=0.006).exists()
    assert Steel.objects.filter(key="own").exists()


@pytest.mark.django_db
def test_refresh_leaves_the_length_of_a_bar_to_the_shop():
    load()
    BarSize.objects.filter(steel__key="o1").update(length=0.9, on_offer=False)
    load(refresh=True)
    assert set(
        BarSize.objects.filter(steel__key="o1").values_list("length", "on_offer")
    ) == {(0.9, False)}


@pytest.mark.django_db
def test_the_start_of_the_shop_hears_nothing_of_it():
    assert load(verbosity=0) == ""


@pytest.mark.django_db
def test_the_next_start_hardly_asks_the_database(django_assert_max_num_queries):
    load()
    with django_assert_max_num_queries(5):  # two of them begin and end the transaction
        load()


@pytest.mark.django_db
def test_a_word_no_row_may_hold_loads_nothing(monkeypatch):
    good, last = loading.read_steels()[:2]
    wrong = replace(last, values={**last.values, "etch": "pink"})
    monkeypatch.setattr(load_steels.loading, "read_steels", lambda: (good, wrong))
    with pytest.raises(CommandError, match="etch"):
        load()
    assert not Steel.objects.exists()
