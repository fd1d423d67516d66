"""The house stands as drawn: imports, foreign keys and migrations point downward only."""

import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.db.migrations.loader import MigrationLoader
from django.db.models import ForeignKey, ManyToManyField

ROOT = Path(__file__).resolve().parent.parent
FLOORS = (
    "files", "background", "record", "access", "projects", "dates", "evidence", "gates", "handover", "notices",
)  # fmt: skip
STATE = FLOORS[2:]


def our_models():
    return [m for m in apps.get_models() if m.__module__.startswith("coordination.")]


def foreign_keys():
    """(model, field, floor it stands on, floor it points to) for every key of our own tables to our own."""
    found = []
    for model in our_models():
        for field in model._meta.get_fields():
            if isinstance(field, ForeignKey | ManyToManyField):
                to = field.remote_field.model._meta.app_label
                found.append((model.__name__, field, model._meta.app_label, to))
    return found


def test_every_table_stands_on_a_floor():
    assert {model._meta.app_label for model in our_models()} <= set(FLOORS)
    assert {to for *_, to in foreign_keys()} <= set(FLOORS)


def test_no_key_points_to_a_higher_floor():
    upward = [
        (name, field.name, floor, to)
        for name, field, floor, to in foreign_keys()
        if FLOORS.index(to) > FLOORS.index(floor)
    ]
    assert upward == []


def test_no_key_leaves_the_record():
    assert [name for name, _field, floor, _to in foreign_keys() if floor == "record"] == []


def test_keys_that_cross_floors_have_no_reverse_name():
    crossing = [(name, field) for name, field, floor, to in foreign_keys() if floor != to]
    assert [(name, field.name) for name, field in crossing if not field.remote_field.hidden] == []
    assert len(crossing) > 20


def test_there_are_no_many_to_many_keys_and_no_generic_ones():
    assert [name for name, field, *_ in foreign_keys() if isinstance(field, ManyToManyField)] == []
    assert [m for m in our_models() if m._meta.private_fields] == []


def test_nothing_is_deleted_along_with_something_else():
    from django.db.models import PROTECT

    cascading = [
        (name, field.name)
        for name, field, *_ in foreign_keys()
        if field.remote_field.on_delete is not PROTECT
    ]
    assert cascading == []


def test_migrations_depend_downward_only():
    loader = MigrationLoader(None, ignore_no_migrations=True)
    upward = [
        (app, name, to)
        for (app, name), migration in loader.disk_migrations.items()
        if app in FLOORS
        for to, _ in migration.dependencies
        if to in FLOORS and FLOORS.index(to) > FLOORS.index(app)
    ]
    assert upward == []


def test_the_import_contract_is_kept():
    answer = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-logo", "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert answer.returncode == 0, answer.stdout + answer.stderr


def test_the_import_contract_notices_what_breaks_it(tmp_path):
    """The same contract over a house in which access reaches up to gates."""
    for floor in ("access", "gates"):
        (tmp_path / "coordination" / floor).mkdir(parents=True)
        (tmp_path / "coordination" / floor / "__init__.py").touch()
    (tmp_path / "coordination" / "__init__.py").touch()
    (tmp_path / "coordination" / "access" / "queries.py").write_text("import coordination.gates\n")
    (tmp_path / "setup.cfg").write_text(
        "[importlinter]\nroot_package = coordination\n"
        "[importlinter:contract:floors]\nname = floors\ntype = layers\n"
        "layers =\n    coordination.gates\n    coordination.access\n"
    )
    answer = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-logo", "--no-cache"],
        cwd=tmp_path,
        env={"PYTHONPATH": str(tmp_path), "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert (
        answer.returncode,
        "coordination.access is not allowed to import coordination.gates" in answer.stdout,
    ) == (
        1,
        True,
    )


@pytest.mark.parametrize("floor", STATE)
def test_no_floor_uses_signals_or_overrides_save(floor):
    sources = "\n".join(path.read_text() for path in (ROOT / "coordination" / floor).rglob("*.py"))
    assert [
        word
        for word in ("django.dispatch", "models.signals", "GenericForeignKey", "def save(")
        if word in sources
    ] == []
