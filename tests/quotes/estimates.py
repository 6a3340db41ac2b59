"""A job file of our own that the tests change, and how it is run."""

import io
import json

import pytest
from django.core.management import call_command

JOB = """
[[knives]]
name = "Slicer for Jory"
family = "sujihiki"
length = "245 mm"
handle_price = "21.50"

[[knives]]
family = "petty"

[billet]
length = "150 mm"
width = "34 mm"
pieces = 11
bars.A = { steel = "80CrV2", thickness = "3.5 mm" }
bars.B = { steel = "15N20", thickness = "2 mm", price = "17.20" }

[[steps]]
do = "weld"
[[steps]]
do = "draw"
width = "33 mm"
thickness = "10 mm"
[[steps]]
do = "trim"
[[steps]]
do = "grind"
[[steps]]
do = "cut"
pieces = 3
[[steps]]
do = "weld"
[[steps]]
do = "draw"
width = "30 mm"
thickness = "5.5 mm"
"""

CLEANED = JOB + '[[steps]]\ndo = "trim"\n[[steps]]\ndo = "grind"\n'
"""The same with its bar cleaned after the last draw."""


def changed(old, new, text=JOB):
    assert old in text
    return text.replace(old, new, 1)


def command(path, *options):
    """Return exit status, output and complaints of the command."""
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("estimate", str(path), *options, stdout=out, stderr=err)
    except SystemExit as end:
        return end.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def no_constant(name):
    raise AssertionError(name)


@pytest.fixture
def run(tmp_path, settings):
    """The command on a text, in a place without a shop."""
    settings.DEMO, settings.DATABASE_URL = False, ""
    settings.SHOP_FILE = tmp_path / "none.sqlite3"

    def on(text, *options):
        path = tmp_path / "job.toml"
        path.write_text(text, "utf-8")
        return command(path, *options)

    return on


@pytest.fixture
def as_json(run):
    """What ``--json`` gives; it never holds NaN."""

    def on(text, *options):
        status, out, err = run(text, "--json", *options)
        assert (status, err) == (0, "")
        return json.loads(out, parse_constant=no_constant)

    return on
