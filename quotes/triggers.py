"""What has been issued stays: the database itself refuses change and deletion.

Rows of papers, quotes, invoices and their parts are only ever added, and to a quote or
an invoice no more parts than it counted when it was issued. Triggers keep it so
against everybody: a mistake of the program's own, the admin, a script, a hand at the
database's prompt.

``quotes/apps.py`` takes them off before migrations that have something to do, because
SQLite remakes no table that a trigger elsewhere names, and puts them on after every
``migrate``, also one that had nothing to do. So a later data migration finds them off;
one that changes what was issued has to say why, and one run by hand wraps its work in
``taken_off``. ``flush``, which empties a database on purpose, does so too.

They hold off nobody who may change the tables themselves: whoever can drop a trigger
can drop these. Against that stands the paper, kept under the SHA-256 of its bytes
(``quotes/store.py``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import cast

from django.db import models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from quotes.models import (
    DeductedAdvance,
    Invoice,
    InvoiceLine,
    Paper,
    Quote,
    QuoteAnswer,
    QuoteLine,
    QuoteOption,
)

FROZEN: tuple[type[models.Model], ...] = (
    Paper, Quote, QuoteLine, QuoteOption, QuoteAnswer,
    Invoice, InvoiceLine, DeductedAdvance,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """How many parts a row may have: so many as it keeps, under ``counts``.

    Attributes
    ----------
    whole : type of Model
        Whose parts they are.
    column : str
        Where the whole is named.
    kept, name : str
        The JSON column of the whole that keeps counts, and the name there.
    """

    whole: type[models.Model]
    column: str
    kept: str
    name: str


COUNTED: Mapping[type[models.Model], Counted] = {
    QuoteLine: Counted(whole=Quote, column="quote_id", kept="basis", name="lines"),
    QuoteOption: Counted(whole=Quote, column="quote_id", kept="basis", name="options"),
    InvoiceLine: Counted(
        whole=Invoice, column="invoice_id", kept="taxes", name="lines"
    ),
    DeductedAdvance: Counted(
        whole=Invoice, column="final_id", kept="taxes", name="advances"
    ),
}
"""Parts whose number is kept by what they are part of."""

SAID = "What has been issued stays as it is: rows of {table} are only ever added."
FULL = "What has been issued stays as it is: it gets no more rows of {table}."
FUNCTIONS = ("frozen_row", "frozen_part")


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers on every frozen table that is there, unless they are on."""
    wanted = _wanted(connection)
    if _stand(connection, wanted):
        return
    with transaction.atomic(using=connection.alias):
        remove(connection)
        with connection.cursor() as cursor:
            for statement in (
                *_needs(connection),
                *wanted.values(),
                *_after(connection),
            ):
                cursor.execute(statement)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers off; whoever does so has them put on again."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            for name in FUNCTIONS:
                cursor.execute(f"DROP FUNCTION IF EXISTS {name}() CASCADE")
            return
        for name in _found(connection):
            cursor.execute(f'DROP TRIGGER "{name}"')


@contextmanager
def taken_off(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Have the triggers off as long as something lasts."""
    remove(connection)
    try:
        yield
    finally:
        install(connection)


def _wanted(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return what makes each trigger, by its name."""
    there = set(connection.introspection.table_names())
    made = _on_postgresql if connection.vendor == "postgresql" else _on_sqlite
    return {
        name: statement
        for model in FROZEN
        if model._meta.db_table in there
        for name, statement in made(model)
    }


def _stand(connection: BaseDatabaseWrapper, wanted: Mapping[str, str]) -> bool:
    """Say whether the very triggers are on.

    PostgreSQL keeps what they do in functions that could have been replaced, so there
    they are always made anew.
    """
    return connection.vendor != "postgresql" and _found(connection) == wanted


def _found(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return the triggers that are on, by their name."""
    asked = {"postgresql": _ON_POSTGRESQL, "sqlite": _ON_SQLITE}[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(asked)
        return dict(cursor.fetchall())


def _needs(connection: BaseDatabaseWrapper) -> tuple[str, ...]:
    """Return what has to be there before a trigger can be made.

    PostgreSQL alters no table on which a check of keys still waits for the end of the
    transaction, so those checks are made first.
    """
    now = "SET CONSTRAINTS ALL IMMEDIATE"
    return (now, _ROW, _PART) if connection.vendor == "postgresql" else ()


def _after(connection: BaseDatabaseWrapper) -> tuple[str, ...]:
    """Return what lets the checks of keys wait again."""
    later = "SET CONSTRAINTS ALL DEFERRED"
    return (later,) if connection.vendor == "postgresql" else ()


# --- SQLite ----------------------------------------------------------------------

_ON_SQLITE = """
SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name GLOB 'frozen_*'
"""


def _on_sqlite(model: type[models.Model]) -> Iterable[tuple[str, str]]:
    """Refuse change and deletion, and the replacing that would fire neither.

    INSERT OR REPLACE takes away the row that has the same key without a trigger of
    deletion being fired; so a row that has a key of another is not let in at all.
    """
    table = model._meta.db_table
    # Names of tables and columns come from our own models.
    taken = f'EXISTS (SELECT 1 FROM "{table}" WHERE ({") OR (".join(_keys(model))}))'  # noqa: S608
    refusals = [("update", "", "", SAID), ("delete", "", "", SAID),
                ("insert", "", f" WHEN {taken}", SAID)]  # fmt: skip
    if model in COUNTED:
        refusals.append(("insert", "_part", f" WHEN {_beyond(model)}", FULL))
    for act, part, when, said in refusals:
        name = f"frozen_{table}_{act}{part}"
        refusal = f"SELECT RAISE(ABORT, '{said.format(table=table)}')"
        when = f'BEFORE {act.upper()} ON "{table}"{when}'
        yield name, f'CREATE TRIGGER "{name}" {when} BEGIN {refusal}; END'


def _beyond(model: type[models.Model]) -> str:
    """Return the question whether a whole has all the parts it counted."""
    table, of = model._meta.db_table, COUNTED[model]
    counted = f"COALESCE(json_extract({of.kept}, '$.counts.{of.name}'), 0)"
    return (
        f'(SELECT count(*) FROM "{table}" WHERE "{of.column}" = NEW."{of.column}") '  # noqa: S608
        f'>= (SELECT {counted} FROM "{of.whole._meta.db_table}" '
        f'WHERE id = NEW."{of.column}")'
    )


def _keys(model: type[models.Model]) -> Iterator[str]:
    """Return, key by key, the condition under which a new row has the same."""
    for field in model._meta.concrete_fields:
        if field.unique:
            yield _same([field.attname])
    for key in model._meta.constraints:
        if isinstance(key, models.UniqueConstraint):
            # Pairs of a column and a value: no key of ours counts under more.
            pairs = cast(
                "list[tuple[str, object]]", getattr(key.condition, "children", [])
            )
            under = [name for name, _value in pairs]
            yield _same(_columns(model, key.fields), _columns(model, under))


def _columns(model: type[models.Model], names: Iterable[str]) -> list[str]:
    fields = [cast("models.Field", model._meta.get_field(name)) for name in names]
    return [field.attname for field in fields]


def _same(columns: Iterable[str], under: Iterable[str] = ()) -> str:
    """Return a comparison with the new row; what a condition names may be empty."""
    pairs = [f'"{one}" = NEW."{one}"' for one in columns]
    pairs += [f'"{one}" IS NEW."{one}"' for one in under]
    return " AND ".join(pairs)


# --- PostgreSQL ------------------------------------------------------------------

# Enabled always ("A"), else a session that plays the replica would fire none.
_ON_POSTGRESQL = """
SELECT tgname, '' FROM pg_trigger
WHERE NOT tgisinternal AND starts_with(tgname, 'frozen_') AND tgenabled = 'A'
AND tgrelid IN (SELECT oid FROM pg_class WHERE pg_table_is_visible(oid))
"""

_ROW = f"""
CREATE FUNCTION frozen_row() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
RAISE EXCEPTION '{SAID.format(table="%")}', TG_TABLE_NAME
USING ERRCODE = 'restrict_violation'; END $$
"""

_PART = f"""
CREATE FUNCTION frozen_part() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE counted integer; there integer; part integer; BEGIN
part := (to_jsonb(NEW) ->> TG_ARGV[1])::integer;
EXECUTE format('SELECT COALESCE((%I #>> $1)::integer, 0) FROM %I WHERE id = $2',
TG_ARGV[2], TG_ARGV[3]) INTO counted USING ARRAY['counts', TG_ARGV[0]], part;
EXECUTE format('SELECT count(*) FROM %I WHERE %I = $1', TG_TABLE_NAME, TG_ARGV[1])
INTO there USING part;
IF there >= COALESCE(counted, 0) THEN
RAISE EXCEPTION '{FULL.format(table="%")}', TG_TABLE_NAME
USING ERRCODE = 'restrict_violation'; END IF;
RETURN NEW; END $$
"""  # noqa: S608


def _on_postgresql(model: type[models.Model]) -> Iterable[tuple[str, str]]:
    """Refuse change, deletion and the emptying of a whole table."""
    table = model._meta.db_table
    refusals = [("UPDATE OR DELETE", "ROW", "frozen_row()"),
                ("TRUNCATE", "STATEMENT", "frozen_row()")]  # fmt: skip
    if model in COUNTED:
        of = COUNTED[model]
        told = (of.name, of.column, of.kept, of.whole._meta.db_table)
        named = ", ".join(f"'{one}'" for one in told)
        refusals.append(("INSERT", "ROW", f"frozen_part({named})"))
    for act, each, function in refusals:
        name = f"frozen_{table}_{act.partition(' ')[0].lower()}"
        statement = (
            f'CREATE TRIGGER "{name}" BEFORE {act} ON "{table}" '
            f"FOR EACH {each} EXECUTE FUNCTION {function}; "
            f'ALTER TABLE "{table}" ENABLE ALWAYS TRIGGER "{name}"'
        )
        yield name, statement
