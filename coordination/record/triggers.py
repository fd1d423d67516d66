"""Database triggers that refuse to change or remove what was decided.

A model says ``append_only = True``. SQLite silently drops triggers when Django rebuilds a table, so they are
installed again after every ``migrate`` (console/management/commands/migrate.py) and a system check names any
that is missing.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

SQLITE = """
CREATE TRIGGER IF NOT EXISTS {name} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END
"""
FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END
$$ LANGUAGE plpgsql
"""
POSTGRES = """
CREATE OR REPLACE TRIGGER {name} BEFORE {verb} ON {table} FOR EACH {each} EXECUTE FUNCTION refuse_change()
"""
VERBS = {"sqlite": ("UPDATE", "DELETE"), "postgresql": ("UPDATE", "DELETE", "TRUNCATE")}


def append_only_models() -> list[type[Model]]:
    return [model for model in apps.get_models() if getattr(model, "append_only", False)]


def wanted(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str, str]]:
    """(trigger name, table, verb) for every append-only table that exists in this database."""
    tables = set(connection.introspection.table_names())
    for model in append_only_models():
        table = model._meta.db_table
        if table in tables:
            for verb in VERBS[connection.vendor]:
                yield f"{table}_refuses_{verb.lower()}", table, verb


def install_triggers(connection: BaseDatabaseWrapper) -> None:
    """Create every trigger that is missing; harmless when all are there."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(FUNCTION)
        for name, table, verb in wanted(connection):
            each = "STATEMENT" if verb == "TRUNCATE" else "ROW"
            template = POSTGRES if connection.vendor == "postgresql" else SQLITE
            cursor.execute(template.format(name=name, table=table, verb=verb, each=each))


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Names of triggers that should be there and are not."""
    query = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(query)
        there = {row[0] for row in cursor.fetchall()}
    return sorted(name for name, _table, _verb in wanted(connection) if name not in there)
