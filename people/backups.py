"""A backup: one archive with the database as it stood at one moment, and every stored file.

The database is copied first. What is stored meanwhile is in the archive without a row and is swept after a restore;
what is deleted meanwhile is gone, as its owner wanted.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import IO, cast

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import connection

from config import env
from people.models import Person

SQLITE, POSTGRES, FILES = "database.sqlite3", "database.dump", "files/"


class BackupError(Exception):
    """Why nothing was written or read, in one sentence."""


def write_backup(place: Path) -> int:
    """Write the archive; returns how many files are in it. Raises BackupError, and then leaves nothing behind."""
    if place.exists():
        raise BackupError(f"{place} is there already; nothing was written.")
    half = place.with_name(f"{place.name}.part")
    try:
        with os.fdopen(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
            count = _write(out)
        half.rename(place)
    finally:
        half.unlink(missing_ok=True)
    return count


def _write(out: IO[bytes]) -> int:
    count = 0
    with tarfile.open(fileobj=out, mode="w") as archive, tempfile.TemporaryDirectory() as folder:
        archive.add(_dump(Path(folder)), arcname=SQLITE if _is_sqlite() else POSTGRES)
        for name in stored_names():
            try:
                with default_storage.open(name) as content:
                    entry = tarfile.TarInfo(FILES + name)
                    entry.size, entry.mode = default_storage.size(name), 0o600
                    archive.addfile(entry, cast(IO[bytes], content))
                    count += 1
            except FileNotFoundError:
                continue  # deleted since the list was made
    return count


def stored_names(folder: str = "") -> Iterator[str]:
    """The names of all stored files, in whatever store."""
    try:
        folders, names = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in names:
        yield f"{folder}{name}"
    for inner in folders:
        yield from stored_names(f"{folder}{inner}/")


def read_backup(place: Path) -> int:
    """Put an archive back where nothing is yet; returns how many files. Raises BackupError, and changes nothing."""
    try:
        with tarfile.open(place) as archive:
            names = archive.getnames()
            wanted = SQLITE if _is_sqlite() else POSTGRES
            if wanted not in names:
                raise BackupError(f"{place} holds no {wanted}: it is no backup of this kind of database.")
            if any(".." in Path(name).parts or Path(name).is_absolute() for name in names):
                raise BackupError(f"{place} names files outside of the store; nothing was changed.")
            _refuse_over_data()
            with tempfile.TemporaryDirectory() as folder:
                archive.extract(wanted, folder, filter="data")
                _load(Path(folder) / wanted)
            return sum(_put(archive, name) for name in names if name.startswith(FILES))
    except (OSError, tarfile.TarError) as wrong:
        raise BackupError(f"{place} cannot be read: {wrong}.") from wrong


def _put(archive: tarfile.TarFile, name: str) -> bool:
    content = archive.extractfile(name)
    if content is None:
        return False
    wanted = name.removeprefix(FILES)
    with content:
        stored = default_storage.save(wanted, File(content))
    if stored != wanted:
        raise BackupError(f"{wanted} could not be put in its place: the store is not empty.")
    return True


def _refuse_over_data() -> None:
    tables = connection.introspection.table_names()
    if Person._meta.db_table in tables and Person.objects.exists():
        raise BackupError("There are accounts here already; a backup is put back into an empty copy. Nothing changed.")
    if next(stored_names(), None) is not None:
        raise BackupError("There are files here already; a backup is put back into an empty store. Nothing changed.")


def _is_sqlite() -> bool:
    return connection.vendor == "sqlite"


# the database


def _dump(folder: Path) -> Path:
    return _dump_sqlite(folder / SQLITE) if _is_sqlite() else _dump_postgres(folder / POSTGRES)


def _load(dump: Path) -> None:
    return _load_sqlite(dump) if _is_sqlite() else _load_postgres(dump)


def _dump_sqlite(place: Path) -> Path:
    """SQLite's own online backup: whole and of one moment, while others read and write."""
    with closing(sqlite3.connect(place)) as copy, closing(sqlite3.connect(_sqlite_file())) as source:
        source.backup(copy)
    return place


def _load_sqlite(dump: Path) -> None:
    connection.close()
    with closing(sqlite3.connect(dump)) as source, closing(sqlite3.connect(_sqlite_file())) as copy:
        source.backup(copy)


def _sqlite_file() -> str:
    return str(connection.settings_dict["NAME"])


def _dump_postgres(place: Path) -> Path:
    _run("pg_dump", "--format=custom", "--no-owner", f"--file={place}")
    return place


def _load_postgres(dump: Path) -> None:
    connection.close()
    name = str(connection.settings_dict["NAME"])
    _run("pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", f"--dbname={name}", str(dump))


def _run(program: str, *arguments: str) -> None:
    """A program of PostgreSQL's, told by its own variables where the database is, so that no password is in a list."""
    if shutil.which(program) is None:
        raise BackupError(f"The program {program} is missing; it comes with PostgreSQL's client. Nothing changed.")
    known = connection.settings_dict
    said = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD", "PGDATABASE": "NAME"}
    told = {name: str(known[key]) for name, key in said.items() if known.get(key)}
    done = subprocess.run([program, *arguments], env=env.for_child(**told), capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupError(f"{program} failed: {(done.stderr.strip().splitlines() or ['it said nothing'])[-1]}")
