"""Printed temper tables: what the list holds, and how it meets the shop's own rows."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from billets import loading
from billets.models import Steel, TemperPoint
from billets.physics.errors import PlanError
from billets.physics.tempering import tempered_hardness
from billets.stock import grade_of
from tests.billets.test_admin import boxes
from tests.billets.test_loading import GOOD, steels_of

STEELS = {entry.key: entry for entry in loading.read_steels()}
TABLED = [key for key, entry in STEELS.items() if entry.tempers]
HOUR = 3600.0


def load(**options):
    said = StringIO()
    call_command("load_steels", stdout=said, **options)
    return said.getvalue()


@pytest.fixture
def loaded(db):
    load()


def rows():
    return list(TemperPoint.objects.order_by("pk").values())


# --- the list --------------------------------------------------------------------


def test_steels_with_a_printed_table():
    assert set(TABLED) == {"1084", "1095", "90mncrv8", "o1", "l6", "52100", "w2"}


def test_o1_by_both_its_sheets():
    """Steel data sheets A and B, O1."""
    found = {
        (one.source[:18], round(one.temperature - 273.15), one.hardness)
        for one in STEELS["o1"].tempers
    }
    assert len(found) == 17
    assert ("Steel data sheet A", 205, 62.0) in found
    assert ("Steel data sheet B", 316, 57.0) in found


@pytest.mark.parametrize("key", TABLED)
def test_every_table_states_its_source_honestly(key):
    for source in {one.source for one in STEELS[key].tempers}:
        assert "published" in source or "common practice, no source" in source


@pytest.mark.parametrize("key", TABLED)
def test_hotter_is_softer_in_every_table(key):
    tables = {}
    for one in STEELS[key].tempers:
        tables.setdefault(one.source, []).append((one.temperature, -one.hardness))
    for table in tables.values():
        assert table == sorted(table)
        assert len(set(table)) == len(table)


def test_soak_and_forging_heats_are_in_si():
    """Steel data sheets, O1: soak 10 to 30 min, forge at 1066 °C at most."""
    values = STEELS["o1"].values
    assert (values["soak_min"], values["soak_max"]) == (600.0, 1800.0)
    assert values["forge_max"] == pytest.approx(1066 + 273.15)
    assert values["normalise_at"] == pytest.approx(871 + 273.15)
    assert "760 to 788" in values["anneal"]


@pytest.mark.parametrize("key", [k for k, e in STEELS.items() if e.values["forge_max"]])
def test_no_steel_is_forged_where_it_starts_to_burn(key):
    """Iron-carbon diagram, from memory: the solidus, and 100 K below it to be safe."""
    carbon = STEELS[key].values["carbon"]
    solidus = 1495.0 - 179.38 * (carbon - 0.17) + 273.15
    assert STEELS[key].values["forge_max"] < solidus - 100.0


SLIPS = {
    "no hours": '{ source = "a", rows = [[200, 60]] }',
    "no row": '{ source = "a", hours = 2, rows = [[200]] }',
    "no number": '{ source = "a", hours = 2, rows = [[200, "hard"]] }',
    "no such word": '{ source = "a", hours = 2, rows = [[200, 60]], own = true }',
}


@pytest.mark.parametrize("slip", SLIPS)
def test_slip_in_a_table_is_refused_and_its_steel_named(tmp_path, slip):
    text = GOOD.replace("note = ", f"tempers = [{SLIPS[slip]}]\nnote = ")
    with pytest.raises(PlanError) as caught:
        steels_of(tmp_path, text)
    assert caught.value.values["entry"] == "own"


@pytest.mark.parametrize("soak", ["soak_min = 5", "soak_min = 9\nsoak_max = 5"])
def test_half_a_soak_is_refused(tmp_path, soak):
    with pytest.raises(PlanError) as caught:
        steels_of(tmp_path, GOOD.replace("note = ", f"{soak}\nnote = "))
    assert caught.value.field == "soak_min"


# --- loading ---------------------------------------------------------------------


def test_a_fresh_shop_gets_every_printed_row_and_none_of_its_own(db):
    count = sum(len(entry.tempers) for entry in STEELS.values())
    assert f"temper rows: {count} made" in load()
    assert TemperPoint.objects.count() == count
    assert not TemperPoint.objects.filter(own=True).exists()


@pytest.mark.parametrize("refresh", [False, True])
def test_loading_twice_changes_nothing(loaded, refresh):
    before = rows()
    assert "->" not in load(refresh=refresh)
    assert rows() == before


def test_rows_the_shop_has_struck_off_or_changed_stay_so(loaded):
    TemperPoint.objects.filter(steel__key="w2").delete()
    TemperPoint.objects.filter(steel__key="l6").update(hardness=58.0)
    before = rows()
    load()
    assert rows() == before


def test_refresh_sets_printed_rows_back_and_leaves_what_the_shop_measured(loaded):
    o1 = Steel.objects.get(key="o1")
    o1.tempers.filter(hardness=62.0).update(hardness=61.0)
    o1.tempers.filter(hardness=52.0).delete()
    claimed = o1.tempers.filter(hardness=44.0).get()
    TemperPoint.objects.filter(pk=claimed.pk).update(hardness=45.5, own=True)
    measured = TemperPoint.objects.create(
        steel=o1, temperature=468.15, duration=4 * HOUR, hardness=61.2, source="coupon"
    )
    said = load(refresh=True).replace("\N{NO-BREAK SPACE}", " ")
    assert "hardness: 61.0 -> 62.0" in said
    assert o1.tempers.filter(hardness=52.0).exists()
    assert o1.tempers.get(pk=claimed.pk).hardness == 45.5
    assert o1.tempers.get(pk=measured.pk).own
    assert o1.tempers.count() == 18


# --- in use ----------------------------------------------------------------------


def test_a_row_the_shop_measured_comes_before_all_printed_ones(loaded):
    o1 = Steel.objects.get(key="o1")
    told = {"temperature": 478.15, "duration": 4 * HOUR, "hardness": 60.4}
    TemperPoint.objects.create(steel=o1, **told)
    band = tempered_hardness(grade_of(o1), o1.carbon, 478.15, 4 * HOUR)
    assert (band.source, band.value) == ("own", pytest.approx(60.4))


def test_a_row_is_added_with_its_steel(owner_client, loaded):
    row = Steel.objects.get(key="15n20")
    address = reverse("admin:billets_steel_change", args=[row.pk])
    sent = boxes(owner_client.get(address))
    new = int(sent["tempers-TOTAL_FORMS"]) - 1
    sent |= {
        f"tempers-{new}-temperature": "400 F",
        f"tempers-{new}-duration": "4",
        f"tempers-{new}-hardness": "60,5",
        f"tempers-{new}-source": "test piece, May",
    }
    assert owner_client.post(address, sent).status_code == 302
    (added,) = row.tempers.all()
    assert added.temperature == pytest.approx((400 - 32) / 1.8 + 273.15)
    assert (added.duration, added.hardness, added.own) == (4 * HOUR, 60.5, True)


def test_saving_an_untouched_steel_leaves_its_table_alone(owner_client, loaded):
    row = Steel.objects.get(key="l6")
    before = rows()
    address = reverse("admin:billets_steel_change", args=[row.pk])
    answer = owner_client.post(address, boxes(owner_client.get(address)))
    assert answer.status_code == 302
    assert rows() == before
