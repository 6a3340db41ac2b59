"""A backup is one only if it holds what was saved before it began."""

import sqlite3

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from shop.management.commands import backup
from shop.models import Customer

on_sqlite = pytest.mark.skipif(
    connection.vendor != "sqlite",
    reason="the online copy is SQLite's; the dump is tested below",
)
on_postgresql = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="needs the server that .ci/run starts"
)


@pytest.fixture
def customers(transactional_db):
    return [
        Customer.objects.create(name=name, folded=name.casefold())
        for name in ("Ö", "ß")
    ]


@on_sqlite
def test_copy_holds_every_row(customers, tmp_path):
    target = tmp_path / "copy.sqlite3"
    call_command("backup", str(target))
    names = sqlite3.connect(target).execute(
        "SELECT name FROM shop_customer ORDER BY id"
    )
    assert [row[0] for row in names] == ["Ö", "ß"]
    assert not list(tmp_path.glob("*.part"))
    assert target.stat().st_mode & 0o077 == 0  # nobody else on the machine reads it


@on_sqlite
def test_file_that_is_there_is_kept_unless_told(customers, tmp_path):
    target = tmp_path / "copy.sqlite3"
    target.write_text("the last good copy")
    with pytest.raises(CommandError, match="--replace"):
        call_command("backup", str(target))
    assert target.read_text() == "the last good copy"
    call_command("backup", str(target), "--replace")
    assert target.stat().st_size > 10_000


@on_sqlite
def test_copy_without_the_newest_rows_is_found_out(customers, tmp_path):
    """An older copy passes every integrity check; only its newest rows tell."""
    target = tmp_path / "copy.sqlite3"
    call_command("backup", str(target))
    Customer.objects.create(name="later", folded="later")
    with pytest.raises(CommandError, match="lacks the newest rows"):
        backup.check_sqlite(target, backup.newest_rows())


@on_sqlite
def test_damaged_copy_is_found_out(customers, tmp_path):
    target = tmp_path / "copy.sqlite3"
    call_command("backup", str(target))
    body = bytearray(target.read_bytes())
    body[8192:12288] = b"\xff" * 4096
    target.write_bytes(bytes(body))
    with pytest.raises((CommandError, sqlite3.DatabaseError)):
        backup.check_sqlite(target, backup.newest_rows())


def test_folder_that_is_not_there_is_named(db, tmp_path):
    with pytest.raises(CommandError, match="make it first"):
        call_command("backup", str(tmp_path / "nowhere" / "copy"))


@on_postgresql
def test_dump_is_read_back(customers, tmp_path, capsys):
    target = tmp_path / "copy.dump"
    call_command("backup", str(target))
    assert target.stat().st_size > 0
    assert "list read back" in capsys.readouterr().out
