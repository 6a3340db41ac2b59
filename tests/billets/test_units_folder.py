"""The table of units is kept ready in a folder, and never depends on it."""

from decimal import Decimal

import pytest

from billets import units


@pytest.fixture
def table(settings, tmp_path):
    """Build the table afresh, with its folder in ``tmp_path``."""
    settings.DATA_DIR = tmp_path
    return units._registry.__wrapped__


def inch(table):
    return table().convert(Decimal(1), "inch", "meter")


def test_table_is_kept_ready(table, tmp_path):
    assert inch(table) == Decimal("0.0254")
    assert list((tmp_path / "units").glob("*.pickle"))
    assert inch(table) == Decimal("0.0254")


def test_damaged_folder_is_thrown_away(table, tmp_path):
    inch(table)
    for file in (tmp_path / "units").glob("*.pickle"):
        file.write_bytes(file.read_bytes()[:100])
    assert inch(table) == Decimal("0.0254")
    assert not (tmp_path / "units").exists()
    assert inch(table) == Decimal("0.0254")
    assert (tmp_path / "units").exists()


def test_place_that_cannot_be_written_does_no_harm(table, tmp_path):
    (tmp_path / "units").write_text("in the way")
    assert inch(table) == Decimal("0.0254")
