"""The two documents say what the code bears out: files, functions, commands, keys."""

import importlib
import re
from pathlib import Path

import pytest
from django.core.management import get_commands

from billets.physics.families import FAMILY_LABELS
from quotes.job_keys import KNIFE, STEPS
from tests.test_architecture import CORE_FILES

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")

MAP = "### Seven hops from enquiry to quote, five to the build sheet"
CHANGES = "## To add … change …"
MADE_LATER = {".data/", ".venv/"}
"""Folders a fresh checkout does not have yet."""


def part(document, heading):
    """What stands below a heading, up to the next one."""
    return re.split(r"(?m)^#+ ", document.split(f"{heading}\n")[1])[0]


def quoted(text):
    """What stands between single back ticks, outside blocks of code."""
    return re.findall(r"`([^`\n]+)`", re.sub(r"(?s)```.*?```", "", text))


def rows(text):
    """The cells of a table, without its head."""
    lines = [line for line in text.splitlines() if line.startswith("|")]
    return [
        [cell.strip() for cell in line.strip("|").split(" | ")] for line in lines[2:]
    ]


def named(reference):
    """What ``path::NAME`` leads to; a module for a path alone."""
    path, _colons, name = reference.partition("::")
    module = importlib.import_module(path.removesuffix(".py").replace("/", "."))
    return getattr(module, name) if name else module


# --- what the documents name ---------------------------------------------------------


def references(document):
    found = {one for one in quoted(document) if re.fullmatch(r"[\w./]+\.py::\w+", one)}
    return sorted(found)


@pytest.mark.parametrize("reference", references(DEVELOPERS))
def test_what_is_named_in_a_file_is_there(reference):
    assert named(reference) is not None


def test_every_file_that_is_named_is_there():
    named_files = {
        one
        for one in quoted(DEVELOPERS)
        if re.fullmatch(r"\.?[\w.-]+(/[\w.-]*)+", one) and one not in MADE_LATER
    }
    assert len(named_files) > 20
    assert [one for one in sorted(named_files) if not (ROOT / one).exists()] == []


def test_every_picture_is_there():
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README + DEVELOPERS)
    assert pictures
    assert [one for one in pictures if not (ROOT / one).exists()] == []


def test_every_hop_of_the_map_is_a_function():
    hops = rows(part(DEVELOPERS, MAP))
    assert [hop[0] for hop in hops] == list("1234567")
    assert all(callable(named(quoted(hop[1])[0])) for hop in hops)


def test_everything_that_can_be_added_says_where():
    for what, where in rows(part(DEVELOPERS, CHANGES)):
        assert any("/" in one for one in quoted(where)), what


def test_core_is_listed_as_it_is_enforced():
    listed = DEVELOPERS.split("* **Core** imports")[1].split("It knows no language")[0]
    whole, of_quotes = listed.split("and in `quotes/`")
    files = {one for one in quoted(whole) if one.endswith(".py")}
    files |= {
        f"quotes/{one}.py" for one in re.search(r"`([^`]+)`", of_quotes)[1].split()
    }
    assert files == set(CORE_FILES)


def test_every_command_that_is_named_is_there():
    ours = set(get_commands()) | {"test"}
    for document in (README, DEVELOPERS):
        called = set(re.findall(r"manage\.py ([a-z_]+)", document))
        assert called
        assert called <= ours


def test_every_setting_is_in_the_readme():
    """HAMMERSCALE_DEMO is set by ``open``, nobody else."""
    text = (ROOT / "shop" / "settings.py").read_text("utf-8")
    read = set(re.findall(r'env\("(\w+)"', text)) - {"DEMO"}
    table = set(re.findall(r"\| `HAMMERSCALE_(\w+)` \|", README))
    assert read <= table
    for name in table - read:
        assert f"HAMMERSCALE_{name}" in text + (ROOT / "manage.py").read_text("utf-8")


def test_every_key_of_a_knife_is_in_the_readme():
    (example,) = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
    words = set(re.findall(r"\w+", example))
    assert set(KNIFE) <= words
    assert set(FAMILY_LABELS) <= words
    assert set(STEPS) <= words
