"""What was issued stays: every way we know to change it is tried, none succeeds."""

import sqlite3

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.models import ProtectedError

from quotes import triggers
from quotes.models import Paper, Quote, QuoteLine
from tests.quotes import issued as ways
from tests.quotes.issued import PDF, issued, rows, sql
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

OF_THIS_ENGINE = {"sqlite": ways.BY_SQLITE, "postgresql": ways.BY_POSTGRESQL}
BY_TRIGGERS = ways.BY_THE_PROGRAM | ways.BY_SQL | OF_THIS_ENGINE[connection.vendor]

on_sqlite = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="tables are remade and files copied on SQLite"
)


@pytest.fixture
def quote(owner):
    made = issued(by=owner)
    connection.check_constraints()  # as if its transaction had ended
    return made


def attempt(way):
    """Carry a change out as far as the database lets it; returns its refusal."""
    try:
        with transaction.atomic():
            way()
            connection.check_constraints()  # as the end of a transaction does
    except (DatabaseError, ProtectedError, sqlite3.DatabaseError) as refusal:
        return refusal
    return None


# --- tried ------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(BY_TRIGGERS))
def test_issued_quote_is_not_changed_by(quote, name):
    before = rows()
    refusal = attempt(BY_TRIGGERS[name])
    assert rows() == before
    assert "What has been issued stays as it is" in str(refusal)


@pytest.mark.parametrize("name", list(ways.THINGS_IT_HANGS_ON))
def test_what_an_issued_quote_hangs_on_stays(quote, name):
    before = rows()
    assert attempt(ways.THINGS_IT_HANGS_ON[name]) is not None
    assert rows() == before


KEYED = {"add a line in the place of one"}
"""Refused by a unique key even without triggers."""


@pytest.mark.parametrize("name", [one for one in BY_TRIGGERS if one not in KEYED])
def test_without_triggers_the_same_would_change_it(quote, name):
    """The attacks bite, so that it is the triggers that hold them off."""
    before = rows()
    with transaction.atomic():
        triggers.remove(connection)
        BY_TRIGGERS[name]()
        assert rows() != before or "values as they are" in name
        transaction.set_rollback(True)


def test_enough_ways_are_tried():
    assert len(BY_TRIGGERS) + len(ways.THINGS_IT_HANGS_ON) >= 55


@on_sqlite
def test_no_key_lets_a_row_be_replaced(quote):
    """Every unique index the database itself knows of, also those under a condition."""
    tried = 0
    for model in triggers.FROZEN:
        table = model._meta.db_table
        with connection.cursor() as cursor:
            found = connection.introspection.get_constraints(cursor, table).values()
        keys = [set(one["columns"]) for one in found
                if one["unique"] or one["primary_key"]]  # fmt: skip
        alone = {one for key in keys if len(key) == 1 for one in key}
        for key in keys:
            unlike = {name: f"{name} + 90" for name in alone - key}
            way = "INSERT OR REPLACE " + ways.copied(model, unlike)
            before = rows()
            assert attempt(lambda way=way: sql(way)) is not None, (table, key)
            assert rows() == before
            tried += 1
    assert tried == 18


# --- what is still done ---------------------------------------------------------------


def test_next_revision_and_next_paper_are_let_in(quote):
    paper = Paper.objects.create(
        sha256="0" * 64, media="pdf", kind="quote", order=quote.order, revision=2,
        made_at=quote.issued_at,
    )  # fmt: skip
    values = Quote.objects.values().get()
    values |= {"id": None, "revision": 2, "paper_id": paper.pk}
    second = Quote.objects.create(**values | {"basis": {"counts": {"lines": 2}}})
    for place in (1, 2):
        QuoteLine.objects.create(quote=second, position=place, label="x", amount=1)
    assert second.lines.count() == 2


def test_triggers_are_put_on_once(quote):
    on = triggers._found(connection)
    triggers.install(connection)
    assert triggers._found(connection) == on
    assert {name.split("_")[2] for name in on} == {
        "paper", "quote", "quoteline", "quoteoption", "quoteanswer", "invoice",
        "invoiceline", "deductedadvance",
    }  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_flush_empties_the_database_and_leaves_it_guarded():
    issued()
    on = triggers._found(connection)
    call_command("flush", interactive=False, verbosity=0)
    assert rows() == [[] for _table in rows()]
    assert triggers._found(connection) == on
    issued()
    assert attempt(ways.BY_SQL["UPDATE"]) is not None


@pytest.mark.django_db(transaction=True)
def test_migrations_find_the_triggers_off_and_leave_them_on():
    issued()
    on = triggers._found(connection)
    call_command("migrate", "quotes", "0001", verbosity=0)
    assert not any(name.startswith("frozen_quotes_quoteoption")
                   for name in triggers._found(connection))  # fmt: skip
    call_command("migrate", verbosity=0)
    assert triggers._found(connection) == on
    assert attempt(ways.BY_SQL["UPDATE"]) is not None


@on_sqlite
@pytest.mark.django_db(transaction=True)
def test_copy_of_the_database_is_guarded_too(tmp_path):
    issued()
    call_command("backup", str(tmp_path / "copy"), verbosity=0)
    copy = sqlite3.connect(tmp_path / "copy")
    with pytest.raises(sqlite3.IntegrityError, match="stays as it is"):
        copy.execute("UPDATE quotes_quote SET total = 1")
    copy.close()


# --- the admin ----------------------------------------------------------------------


def posts(model, row):
    place = f"/admin/quotes/{model}/"
    values = {field.name: "1" for field in row._meta.concrete_fields}
    return {
        f"change {model}": (f"{place}{row.pk}/change/", values),
        f"delete {model}": (f"{place}{row.pk}/delete/", {"post": "yes"}),
        f"add {model}": (f"{place}add/", values),
        f"delete several of {model}": (
            place,
            {"action": "delete_selected", "_selected_action": row.pk, "post": "yes"},
        ),
    }


@pytest.mark.parametrize("model", triggers.FROZEN)
def test_admin_shows_what_was_issued_and_changes_nothing(owner_client, quote, model):
    name, row, before = model._meta.model_name, ways.one_of(model), rows()
    assert owner_client.get(f"/admin/quotes/{name}/").status_code == 200
    page = owner_client.get(f"/admin/quotes/{name}/{row.pk}/change/")
    assert page.status_code == 200
    assert "_save" not in page.content.decode()
    for act, (place, data) in posts(name, row).items():
        answer = owner_client.post(place, data)
        assert answer.status_code == 403 or "several" in act, act
        assert rows() == before, act


def test_owner_who_issued_a_quote_is_not_deleted_in_the_admin(owner_client, quote):
    before = rows()
    owner_client.post(f"/admin/auth/user/{quote.by_id}/delete/", {"post": "yes"})
    assert rows() == before


# --- the file -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "damage", [b"", PDF[:-1], PDF + b" ", PDF.replace(b"saw", b"was"), b"a sheet", None]
)
def test_changed_file_is_noticed_and_not_given_out(
    owner_client, quote, settings, damage
):
    file = settings.PAPER_DIR / quote.paper.sha256
    assert owner_client.get(quote.paper.get_absolute_url()).content == PDF
    file.unlink() if damage is None else file.write_bytes(damage)
    answer = owner_client.get(quote.paper.get_absolute_url())
    assert answer.status_code == 500
    assert "This paper is damaged" in text_of(answer)
    assert "is no longer what was kept" in text_of(answer)
    assert quote.paper.sha256 in text_of(answer)
