"""Where an estimate runs: with a shop's rates, without a shop, as a process."""

import datetime as dt
import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from django.core.management import call_command

from shop.models import Rate, Shop, TaxSetting
from tests.quotes.estimates import JOB, as_json, changed, run

__all__ = ["as_json", "run"]

ROOT = Path(__file__).resolve().parents[2]

# --- whose rates -------------------------------------------------------------------


@pytest.fixture
def shop(db, run, settings):
    """A shop with its own rates, in the database of the tests."""
    call_command("load_steels", verbosity=0)
    call_command("load_rates", verbosity=0)
    settings.DEMO = True  # a demo is a shop too, wherever its database lies
    Rate.objects.create(key="labour", value="88.00", valid_from=dt.date(2026, 1, 2))
    TaxSetting.objects.create(regime="small", rate=0, valid_from=dt.date(2026, 1, 1))


def test_shipped_rates_are_called_shipped(as_json):
    rates = as_json(JOB)["rates"]
    assert (rates["source"], rates["valid_from"]) == ("shipped", "2026-01-01")


@pytest.mark.usefixtures("shop")
def test_rates_come_from_the_shop_where_there_is_one(as_json):
    done = as_json(JOB)
    labour = next(one for one in done["cost"]["lines"] if one["key"] == "labour")
    assert labour["rate"] == "88.0000"
    assert done["rates"]["source"] == "shop"
    assert done["price"]["tax"] == "0.00"


@pytest.mark.usefixtures("shop")
def test_text_speaks_in_the_units_of_the_shop(run):
    Shop.objects.update(units="inch")
    out = run(JOB, "--fit")[1]
    assert "Slicer for Jory: sujihiki, 9.65 in" in out
    assert "Rates: the shop's own" in out
    assert " mm" not in out


@pytest.mark.usefixtures("shop")
def test_a_shop_that_has_not_said_how_it_is_taxed_has_no_price(run):
    TaxSetting.objects.all().delete()
    status, out, err = run(JOB)
    assert (status, out) == (2, "")
    assert err.startswith("tax_regime: ")


# --- as a process ------------------------------------------------------------------


def process(tmp_path, *arguments):
    environment = os.environ | {"HAMMERSCALE_DATA_DIR": str(tmp_path / "data")}
    environment.pop("HAMMERSCALE_DATABASE_URL", None)
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "estimate", *arguments],
        env=environment, capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip


def test_the_example_of_the_readme_runs(tmp_path):
    readme = (ROOT / "README.md").read_text("utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    assert tomllib.loads(example)
    path = tmp_path / "JOB.toml"
    path.write_text(example, "utf-8")
    done = process(tmp_path, str(path), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["price"]["currency"] == "EUR"


def test_bad_input_ends_with_status_2_and_prints_no_result(tmp_path):
    path = tmp_path / "JOB.toml"
    path.write_text(changed("pieces = 11", "pieces = 0"), "utf-8")
    done = process(tmp_path, str(path))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("billet.pieces: ")
