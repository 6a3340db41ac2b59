"""Copy the database while the shop works, and prove that the copy is one."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection


class Command(BaseCommand):
    help = "Copy the database to FILE while the shop works, and check the copy."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--replace", action="store_true", help="replace FILE if it is there"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        target: Path = options["file"].resolve()
        if target.exists() and not options["replace"]:
            raise CommandError(
                f"{target} is there already; name another file or add --replace."
            )
        if not target.parent.is_dir():
            raise CommandError(
                f"The folder {target.parent} is not there; make it first."
            )
        part = target.with_name(target.name + ".part")
        before = os.umask(0o077)  # a backup holds customers and passwords' hashes
        copy = copy_sqlite if connection.vendor == "sqlite" else copy_postgresql
        try:
            summary = copy(part)
            part.replace(target)
            _sync_folder(target.parent)
        finally:
            os.umask(before)
            part.unlink(missing_ok=True)
        self.stdout.write(f"{target}: {summary}")
        self.stdout.write(
            "Copy it to another machine too, and with it the folders "
            f"{settings.PAPER_DIR} and {settings.PHOTO_DIR}."
        )


def newest_rows() -> dict[str, int]:
    """Return the highest number of every table of ours, as it is now."""
    newest = {}
    for label in ("billets", "shop", "quotes"):
        for model in apps.get_app_config(label).get_models():
            row = (
                model._default_manager.order_by("-pk")
                .values_list("pk", flat=True)
                .first()
            )
            newest[model._meta.db_table] = row or 0
    return newest


def copy_sqlite(part: Path) -> str:
    """Copy by the online backup interface, sync, and check; CommandError if unsound."""
    before = newest_rows()
    part.unlink(missing_ok=True)
    with sqlite3.connect(part) as copy:
        connection.ensure_connection()
        connection.connection.backup(
            copy
        )  # all pages at once: page by page may never end
    copy.close()
    _sync(part)
    return check_sqlite(part, before)


def check_sqlite(path: Path, before: dict[str, int]) -> str:
    """Open a copy read-only and compare; return what was found in one line."""
    copy = sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)
    try:
        sound = copy.execute("PRAGMA integrity_check").fetchone()[0]
        orphans = copy.execute("PRAGMA foreign_key_check").fetchall()
        if sound != "ok" or orphans:
            raise CommandError(
                f"The copy is damaged ({sound}, {len(orphans)} orphans); not kept."
            )
        rows = 0
        for table, newest in before.items():
            # Table names come from our own models, never from a person.
            count, highest = copy.execute(
                f'SELECT COUNT(*), COALESCE(MAX(id), 0) FROM "{table}"'  # noqa: S608
            ).fetchone()
            if highest < newest:
                raise CommandError(
                    f"The copy lacks the newest rows of {table}; not kept."
                )
            rows += count
    finally:
        copy.close()
    return f"{len(before)} tables, {rows} rows, checked"


def copy_postgresql(part: Path) -> str:
    """Dump with the server's own tool and read the dump's list of contents back."""
    if not (shutil.which("pg_dump") and shutil.which("pg_restore")):
        raise CommandError(
            "This needs pg_dump and pg_restore; install PostgreSQL's client."
        )
    told = connection.settings_dict
    environment = os.environ | {
        "PGHOST": told["HOST"], "PGPORT": told["PORT"],
        "PGUSER": told["USER"],
        "PGPASSWORD": told["PASSWORD"], "PGDATABASE": told["NAME"],
    }  # fmt: skip
    dump = _run(["pg_dump", "--format=custom", f"--file={part}"], environment)
    if dump.returncode:
        raise CommandError(f"pg_dump: {dump.stderr.strip()}")
    _sync(part)
    listed = _run(["pg_restore", "--list", str(part)], environment)
    tables = listed.stdout.count("TABLE DATA")
    if listed.returncode or tables < len(newest_rows()):
        raise CommandError("The dump cannot be read back; not kept.")
    return f"{tables} tables dumped, list read back"


def _run(
    command: list[str], environment: dict[str, str]
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command, env=environment, check=False, capture_output=True, text=True
    )


def _sync(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
