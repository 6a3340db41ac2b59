"""The catalogues: whole, true to their placeholders, as new as the marked texts."""

import ast
import gettext
import os
import re
from itertools import chain
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from django.utils import translation
from django.utils.translation.template import templatize

import manage
from shop.models import Shop

ROOT = Path(__file__).resolve().parent.parent
APPS = ("billets", "shop", "quotes")
CATALOGUE = ROOT / "shop" / "locale" / "de" / "LC_MESSAGES" / "django.po"

MARKS = {
    "_": 1, "gettext": 1, "gettext_lazy": 1, "gettext_noop": 1,
    "ngettext": 2, "ngettext_lazy": 2, "pgettext": 2, "pgettext_lazy": 2,
}  # fmt: skip
"""Functions that mark a text, and how many of their arguments are texts."""

IN_TEMPLATE = re.compile(
    r"""(?P<mark>_|gettext|ngettext|pgettext)"""
    r"""\((?P<texts>u?(?:"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')"""
    r"""(?:, u?(?:"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*'))?)"""
)
"""A marked text in a template that Django has turned into calls."""

PLACEHOLDER = re.compile(r"\{\w*\}|%\(\w+\)[sd]|%%")
STOCK_WORDS = re.compile(r"\b(ungültig\w*|erforderlich\w*|bitte)\b", re.IGNORECASE)
"""What a message to a person avoids: it says the way out instead."""


def catalogue():
    with CATALOGUE.open("rb") as file:
        return read_po(file)


@pytest.fixture(scope="module")
def messages():
    return [message for message in catalogue() if message.id]


def forms(texts):
    """Return all plural forms, or the only form there is."""
    return texts if isinstance(texts, list | tuple) else (texts,)


def pairs(messages):
    """Yield each text with its translation; the singular may be said either way."""
    for message in messages:
        yield from zip(forms(message.id), forms(message.string), strict=True)


def marked_in_python(path):
    """Yield every constant text a file marks, with its context where it has one."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        texts = [
            argument.value
            for argument in node.args[: MARKS.get(node.func.id, 0)]
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str)
        ]
        if texts:
            yield key(node.func.id, texts)


def marked_in_template(path):
    source = templatize(path.read_text("utf-8"), origin=str(path))
    for found in IN_TEMPLATE.finditer(source):
        texts = ast.literal_eval(f"[{found['texts']}]")
        yield key(found["mark"], texts)


def key(mark, texts):
    """Return what a catalogue keeps a text under: its context, then itself."""
    return (texts[0], texts[1]) if mark.startswith("pgettext") else (None, texts[0])


def python_files():
    return sorted(
        path
        for path in chain.from_iterable((ROOT / app).rglob("*.py") for app in APPS)
        if "migrations" not in path.parts
    )


def templates():
    return sorted((ROOT / "templates").rglob("*.html"))


# --- the catalogue ---------------------------------------------------------------


def test_every_message_is_translated_and_none_is_a_guess(messages):
    assert messages
    assert [one.id for one in messages if not all(forms(one.string))] == []
    assert [one.id for one in messages if one.fuzzy] == []


def test_header_says_what_gettext_needs_to_know():
    """Plural rule of German: CLDR, "one" for 1 alone."""
    found = catalogue()
    assert not found.fuzzy
    assert found.charset.lower() == "utf-8"
    assert str(found.locale) == "de"
    assert (found.num_plurals, found.plural_expr) == (2, "(n != 1)")


def test_translation_has_the_placeholders_of_its_text(messages):
    wrong = [
        (text, said)
        for text, said in pairs(messages)
        if sorted(PLACEHOLDER.findall(text)) != sorted(PLACEHOLDER.findall(said))
    ]
    assert wrong == []


def test_translation_begins_and_ends_like_its_text(messages):
    """Spaces and lines around a text belong to the page it stands in."""
    wrong = [
        text
        for text, said in pairs(messages)
        if (text[:1].isspace(), text[-1:].isspace())
        != (said[:1].isspace(), said[-1:].isspace())
    ]
    assert wrong == []


def test_no_text_looks_like_a_format_that_it_is_not(messages):
    """ "10 % of" reads as a directive for octal numbers to gettext's own checks."""
    wrong = [
        one.id
        for one in messages
        if "python-format" in one.flags
        and not any(re.search(r"%\(\w+\)", text) for text in forms(one.id))
    ]
    assert wrong == []


def test_no_message_falls_back_on_stock_words(messages):
    assert [said for _text, said in pairs(messages) if STOCK_WORDS.search(said)] == []


@pytest.mark.parametrize(
    ("files", "marked"),
    [(python_files, marked_in_python), (templates, marked_in_template)],
    ids=["python", "templates"],
)
def test_every_marked_text_is_in_the_catalogue(messages, files, marked):
    known = {(one.context, forms(one.id)[0]) for one in messages}
    found = {text: path.name for path in files() for text in marked(path)}
    assert len(found) > 100
    assert {text: place for text, place in found.items() if text not in known} == {}


def test_catalogue_keeps_nothing_that_is_no_longer_said(messages):
    files = [(python_files, marked_in_python), (templates, marked_in_template)]
    said = {
        text for paths, marked in files for path in paths() for text in marked(path)
    }
    known = {(one.context, forms(one.id)[0]) for one in messages}
    assert known - said == set()
    assert not catalogue().obsolete


# --- compiled before any command -------------------------------------------------


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Return a folder of one catalogue that has not been compiled."""
    text = tmp_path / "de" / "LC_MESSAGES" / "django.po"
    text.parent.mkdir(parents=True)
    text.write_bytes(CATALOGUE.read_bytes())
    monkeypatch.setattr(manage, "LOCALES", tmp_path)
    return text.parent


def made_in(folder):
    return sorted(path.name for path in folder.iterdir())


def test_catalogue_is_compiled_into_what_gettext_reads(folder):
    manage.compile_translations()
    assert made_in(folder) == ["django.mo", "django.po"]
    with (folder / "django.mo").open("rb") as file:
        assert gettext.GNUTranslations(file).gettext("spine above the heel") != (
            "spine above the heel"
        )


def test_catalogue_is_compiled_again_only_after_a_change(folder, monkeypatch):
    compiled = []

    def compile_catalogue(text, made):
        compiled.append(text.name)
        made.touch()
        return 0

    monkeypatch.setattr(manage, "compile_catalogue", compile_catalogue)
    manage.compile_translations()
    manage.compile_translations()
    assert compiled == ["django.po"]
    later = (folder / "django.mo").stat().st_mtime + 10
    os.utime(folder / "django.po", (later, later))
    manage.compile_translations()
    assert compiled == ["django.po", "django.po"]


def test_broken_catalogue_leaves_what_was_there_and_says_so(folder, capsys):
    (folder / "django.mo").write_bytes(b"as it was")
    os.utime(folder / "django.mo", (0, 0))
    (folder / "django.po").write_bytes(b'msgid "\xff"\nmsgstr "')
    manage.compile_translations()
    assert (folder / "django.mo").read_bytes() == b"as it was"
    assert made_in(folder) == ["django.mo", "django.po"]
    assert "django.po" in capsys.readouterr().err


# --- in use ----------------------------------------------------------------------


def test_text_is_said_in_german():
    with translation.override("de"):
        assert translation.gettext("press") == "Presse"


def test_german_shop_has_german_pages(owner_client):
    Shop.objects.update_or_create(pk=1, defaults={"language": "de"})
    page = owner_client.get("/").content.decode()
    assert '<html lang="de"' in page
    assert "Neue Anfrage" in page
    assert "New enquiry" not in page


@pytest.mark.parametrize("address", ["/orders/new/", "/customers/new/"])
def test_new_customer_is_written_to_in_the_language_of_the_shop(owner_client, address):
    Shop.objects.update_or_create(pk=1, defaults={"language": "de"})
    page = owner_client.get(address).content.decode()
    assert '<option value="de" selected>' in page
