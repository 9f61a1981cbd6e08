"""Backup and restore in two commands: no table and no file differs; nothing that is there is ever overwritten."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import stat
import subprocess
import sys
import tarfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from people.backups import stored_names
from people.models import Person
from testing_rounds.actions.round_files import import_round
from tests.factories import make_cast
from tests.holds.servers import database_url
from tests.house.project import ROOT
from tests.testing_rounds.rounds import example
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path) -> Path:
    """Files in a folder of the test's own."""
    store = settings.STORAGES["default"]
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {**store, "OPTIONS": {**store["OPTIONS"], "location": tmp_path / "files"}},
    }
    return tmp_path / "files"


@pytest.fixture
def filled() -> None:
    """A studio with a round, a tester with consents, and files in several folders."""
    cast = make_cast()
    import_round(studio=cast.studio, data=example(), by=cast.owner)
    with_consents(make_place(make_round(make_version(cast.studio))))
    for name in ("files/a/1", "files/b/2", "photos/x/large.jpg", "photos/x/small.jpg", "summaries/c.pdf"):
        default_storage.save(name, ContentFile(os.urandom(50_000)))


@pytest.fixture
def empty_copy(tmp_path) -> Iterator[dict[str, str]]:
    """The variables of another copy of the app, with nothing in it."""
    folder = tmp_path / "other"
    env = {"PATH": os.environ["PATH"], "DATA_DIR": str(folder)}
    if connection.vendor == "sqlite":
        yield env
        return
    name = f"{connection.settings_dict['NAME']}_copy"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    yield {**env, "DATABASE_URL": f"{database_url().rpartition('/')[0]}/{name}"}
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def manage(env: dict[str, str], *arguments: str) -> subprocess.CompletedProcess:
    command = [sys.executable, "manage.py", *arguments]
    return subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)


def rows(cursor: Any, tables: list[str]) -> dict[str, list[str]]:
    """Every row of every table, as text, in an order of its own."""
    found = {}
    for table in tables:
        cursor.execute(f'SELECT * FROM "{table}"')
        found[table] = sorted(map(repr, cursor.fetchall()))
    return found


def tables_here() -> list[str]:
    return connection.introspection.table_names()


def rows_of(env: dict[str, str], tables: list[str]) -> dict[str, list[str]]:
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(Path(env["DATA_DIR"]) / "second_toile.sqlite3")) as copy:
            return rows(copy.cursor(), tables)
    with psycopg.connect(env["DATABASE_URL"]) as copy:
        return rows(copy.cursor(), tables)


def rows_here(tables: list[str]) -> dict[str, list[str]]:
    """The rows as another program reads them, without Django's own types."""
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(connection.settings_dict["NAME"])) as here:
            return rows(here.cursor(), tables)
    with psycopg.connect(database_url()) as here:
        return rows(here.cursor(), tables)


def files_in(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_copy_made_from_a_backup_is_the_same_in_every_table_and_file(
    filled, empty_copy, own_files, tmp_path, capsys
) -> None:
    call_command("backup", str(tmp_path / "b.tar"))
    assert "the database and 5 files" in capsys.readouterr().out
    done = manage(empty_copy, "restore", str(tmp_path / "b.tar"))
    assert done.returncode == 0, done.stderr
    tables = tables_here()
    assert "testing_rounds_fitreport" in tables
    assert rows_of(empty_copy, tables) == rows_here(tables)
    assert files_in(Path(empty_copy["DATA_DIR"]) / "files") == files_in(own_files)
    assert len(files_in(own_files)) == 5


def test_the_trail_is_guarded_in_the_copy_too(filled, empty_copy, tmp_path) -> None:
    call_command("backup", str(tmp_path / "b.tar"))
    assert manage(empty_copy, "restore", str(tmp_path / "b.tar")).returncode == 0
    change = "from people.models import AuditEntry; AuditEntry.objects.update(verb='x')"
    done = manage(empty_copy, "shell", "-c", change)
    assert done.returncode != 0
    assert "the audit trail is never changed" in done.stderr


def test_a_backup_is_for_its_owner_alone(filled, tmp_path) -> None:
    call_command("backup", str(tmp_path / "b.tar"))
    assert stat.S_IMODE((tmp_path / "b.tar").stat().st_mode) == 0o600


def test_nothing_that_is_there_is_overwritten(filled, tmp_path) -> None:
    (tmp_path / "b.tar").write_text("older")
    with pytest.raises(CommandError, match="is there already"):
        call_command("backup", str(tmp_path / "b.tar"))
    assert (tmp_path / "b.tar").read_text() == "older"
    call_command("backup", str(tmp_path / "c.tar"))
    with pytest.raises(CommandError, match="accounts here already"):
        call_command("restore", str(tmp_path / "c.tar"))
    Person.objects.all().delete()
    with pytest.raises(CommandError, match="files here already"):
        call_command("restore", str(tmp_path / "c.tar"))


@pytest.mark.parametrize("content", [b"", b"not an archive", None])
def test_what_is_no_backup_gets_one_sentence(tmp_path, content) -> None:
    if content is not None:
        (tmp_path / "b.tar").write_bytes(content)
    with pytest.raises(CommandError, match=r"cannot be read"):
        call_command("restore", str(tmp_path / "b.tar"))


def test_an_archive_of_something_else_changes_nothing(tmp_path) -> None:
    (tmp_path / "x").write_text("x")
    with tarfile.open(tmp_path / "b.tar", "w") as archive:
        archive.add(tmp_path / "x", arcname="files/x")
    with pytest.raises(CommandError, match="no backup of this kind of database"):
        call_command("restore", str(tmp_path / "b.tar"))
    assert list(stored_names()) == []


def test_a_name_that_climbs_out_of_the_store_is_refused(tmp_path) -> None:
    (tmp_path / "x").write_text("x")
    with tarfile.open(tmp_path / "b.tar", "w") as archive:
        archive.add(tmp_path / "x", arcname="database.sqlite3")
        archive.add(tmp_path / "x", arcname="database.dump")
        archive.add(tmp_path / "x", arcname="files/../../escaped")
    with pytest.raises(CommandError, match="outside of the store"):
        call_command("restore", str(tmp_path / "b.tar"))
    assert not list(tmp_path.rglob("escaped*"))
