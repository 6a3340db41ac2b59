"""The house stays as drawn: which file may import what (DEVELOPERS.md, The house)."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("billets", "shop", "quotes")  # each may import itself and those before it
CORE_FILES = (
    "billets/grammar.py", "billets/letters.py", "billets/spellings.py",
    "shop/stages.py", "shop/serials.py",
    "quotes/money.py", "quotes/errors.py", "quotes/costing.py", "quotes/cost_items.py",
    "quotes/hours.py", "quotes/job.py", "quotes/jobfile.py", "quotes/job_keys.py",
    "quotes/job_reader.py", "quotes/pert.py",
    "quotes/price.py", "quotes/rate_items.py", "quotes/rates.py", "quotes/scrap.py",
    "quotes/year/rate.py", "quotes/year/sums.py", "quotes/year/items.py",
    "quotes/sums.py", "quotes/rate_kinds.py",
    "quotes/extra_items.py", "quotes/drivers.py", "shop/learning.py",
    "quotes/ladder_items.py", "quotes/changes_after/ladder.py",
    "quotes/changes_after/held.py", "quotes/changes_after/possible.py",
    "shop/schedule.py",
    "quotes/invoices/amounts.py",
    "quotes/risk.py", "quotes/risks/parts.py", "quotes/risks/chance.py",
    "quotes/after/taken.py", "quotes/after/compared.py", "quotes/after/comparing.py",
    "quotes/earned.py",
)  # fmt: skip
LAYERS = ("models", "services", "documents", "forms", "tables", "views", "urls")
OUTSIDE = {"django", "django_tables2", "pint", "weasyprint", "babel"}


def sources():
    return [
        p
        for app in APPS
        for p in sorted((ROOT / app).rglob("*.py"))
        if "migrations" not in p.parts
    ]


def is_core(path):
    relative = path.relative_to(ROOT)
    empty = relative.name == "__init__.py" and not path.read_text("utf-8").strip()
    return (
        empty
        or relative.parts[:2] == ("billets", "physics")
        or str(relative) in CORE_FILES
    )


def file_of(module):
    """The file a dotted name leads to, whatever it names inside that file."""
    parts = module.split(".")
    while parts:
        place = ROOT.joinpath(*parts)
        for file in (place.with_suffix(".py"), place / "__init__.py"):
            if file.exists():
                return file
        parts.pop()
    raise AssertionError(module)


def imports(path):
    """Every module a file imports, those inside functions too."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("path", sources(), ids=lambda p: str(p.relative_to(ROOT)))
def test_file_imports_only_what_its_place_allows(path):
    relative = path.relative_to(ROOT)
    app = relative.parts[0]
    for module in imports(path):
        top = module.split(".")[0]
        if top in APPS:
            assert APPS.index(top) <= APPS.index(app), f"{relative} imports {module}"
        if top == "pint":
            assert str(relative) == "billets/units.py"
        if top == "weasyprint":
            assert str(relative) == "quotes/pdf.py"
        if is_core(path):
            assert top not in OUTSIDE, f"core file {relative} imports {module}"
            if top in APPS:
                assert is_core(file_of(module)), (
                    f"core file {relative} imports {module}"
                )


def layer_of(name):
    return next(
        (
            i
            for i, layer in enumerate(LAYERS)
            if name == layer or name.endswith("_" + layer)
        ),
        None,
    )


@pytest.mark.parametrize("path", sources(), ids=lambda p: str(p.relative_to(ROOT)))
def test_no_layer_imports_one_above_it(path):
    places = [part.removesuffix(".py") for part in path.relative_to(ROOT).parts[1:]]
    here = next(
        (layer_of(place) for place in places if layer_of(place) is not None), None
    )
    if here is None:
        return
    for module in imports(path):
        if module.split(".")[0] not in APPS:
            continue
        there = [layer_of(part) for part in module.split(".")[1:2]]
        assert all(layer is None or layer <= here for layer in there), (
            f"{path.relative_to(ROOT)} imports {module}"
        )


FORM_USERS = {"shop/urls.py", "quotes/terms/editor.py", "quotes/demo/acts.py"}
"""Login, the page of terms, and the demo, which types into a form."""


@pytest.mark.parametrize("path", sources(), ids=lambda p: str(p.relative_to(ROOT)))
def test_forms_are_imported_by_forms_and_views_only(path):
    """Whatever a folder is called: what is computed knows nothing of boxes."""
    relative = path.relative_to(ROOT)
    layers = {layer_of(part.removesuffix(".py")) for part in relative.parts[1:]}
    if layers & {LAYERS.index("forms"), LAYERS.index("views")}:
        return
    for module in imports(path):
        parts = module.split(".")
        if parts[0] in APPS and str(relative) not in FORM_USERS:
            assert not any(layer_of(part) == LAYERS.index("forms") for part in parts), (
                f"{relative} imports {module}"
            )


def test_core_runs_without_django():
    modules = [
        ".".join(p.relative_to(ROOT).with_suffix("").parts)
        for p in sources()
        if is_core(p)
    ]
    code = (
        f"import sys\nfor m in {modules!r}: __import__(m)\n"
        "sys.exit('django' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_money_is_never_added_up_in_the_database():
    """SQLite keeps decimals as floats, so Sum() over money is float arithmetic.

    One sum only chooses which orders are read, wider than floats are off by; what is
    owed is added up from their rows (``tests/quotes/test_owing.py``).
    """
    chooses = ROOT / "shop/owing.py"
    for path in sources():
        found = re.findall(r"\bSum\(", path.read_text("utf-8"))
        assert len(found) == (path == chooses), path


def test_top_level_holds_only_what_the_layout_names():
    allowed = {
        "README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml",
        "shop", "billets", "quotes", "templates", "tests",
    }  # fmt: skip
    found = {
        p.name
        for p in ROOT.iterdir()
        if not p.name.startswith(".") and p.name != "__pycache__"
    }
    assert found <= allowed
