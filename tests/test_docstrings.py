"""Every public physics function says the unit of every number it takes and gives."""

import ast
import re
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent.parent / "billets" / "physics"
MEASURED = {"float", "Number"}


def public_functions():
    for path in sorted(FOLDER.glob("*.py")):
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield pytest.param(node, id=f"{path.stem}.{node.name}")


def annotated(node):
    args = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    for arg in args:
        words = set(re.findall(r"\w+", ast.unparse(arg.annotation)))
        if words & MEASURED:
            yield arg.arg, "Number" in words


def paragraph(doc, name):
    """The entry of a parameter: from the line that names it to the next entry."""
    match = re.search(
        rf"^[\w, ]*\b{name}\b[\w, ]* :.*\n(?:(?:[ \t]+.*)?\n?)*", doc, re.MULTILINE
    )
    return match.group(0) if match else ""


@pytest.mark.parametrize("node", list(public_functions()))
def test_function_states_units_and_shapes(node):
    doc = ast.get_docstring(node)
    assert doc, "no docstring"
    for name, drawn in annotated(node):
        if not drawn and re.search(rf"\b{name} \[[^\]]+\]", doc):
            continue  # a one-line docstring may say it in passing
        entry = paragraph(doc, name)
        assert entry, f"{name} is not described"
        assert re.search(r"\[[^\]]+\]", entry), f"{name} has no unit"
        if drawn:
            assert "(draws,)" in entry, f"{name} does not say its shape"
    gives = set(re.findall(r"\w+", ast.unparse(node.returns)))
    if gives & MEASURED:
        assert re.search(r"\[[^\]]+\]", doc.split("Returns")[-1]), "no unit returned"
