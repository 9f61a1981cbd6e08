"""What is kept about one person or one tester: found, handed out, erased. Each app registers what it keeps.

In its AppConfig.ready():

    register(Kept(key="photos", about=Place, title=_("Photos"), find=..., export=..., erase=...))

`about` is the model whose row stands for the human being: Person here, a tester's place in a later app.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from tempfile import TemporaryFile
from typing import IO, Any

from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.utils.functional import Promise

# A zip without a date of its own: the same data make the same file.
NO_DATE = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Line:
    """One thing that is kept, as a page says it."""

    name: str
    value: str


@dataclass(frozen=True)
class Exported:
    """What goes into the file that is handed out: plain values for its JSON, and stored files by their name in it."""

    data: Any
    files: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Kept:
    """One kind of data. `find` tells what there is (nothing where there is none), `erase` removes it for good."""

    key: str
    about: type[models.Model]
    title: str | Promise
    find: Callable[[Any], Sequence[Line]]
    export: Callable[[Any], Exported]
    erase: Callable[[Any], None]


@dataclass(frozen=True)
class Found:
    """One kind of data with what there is of it."""

    title: str
    lines: tuple[Line, ...]


_kept: dict[tuple[type[models.Model], str], Kept] = {}


def register(*kinds: Kept) -> None:
    """Add kinds of data, in the order in which pages show them; erasing goes the other way. A key registers once."""
    for kind in kinds:
        _kept[kind.about, kind.key] = kind


def kinds_about(subject: models.Model) -> list[Kept]:
    return [kind for kind in _kept.values() if isinstance(subject, kind.about)]


def find(subject: models.Model) -> list[Found]:
    """All that is kept about them, kind by kind; a kind without anything is left out."""
    looked = ((kind, tuple(kind.find(subject))) for kind in kinds_about(subject))
    return [Found(str(kind.title), lines) for kind, lines in looked if lines]


def export(*subjects: Any) -> IO[bytes]:
    """A zip archive with data.json, a list with an entry for each, and their files; ready to be read from its start."""
    out = TemporaryFile()  # noqa: SIM115  (the answer that sends it closes it)
    told: list[dict[str, Any]] = []
    files: dict[str, str] = {}
    for subject in subjects:
        parts = {kind.key: kind.export(subject) for kind in kinds_about(subject)}
        told.append({key: part.data for key, part in parts.items() if part.data})
        files |= {f"{subject.ref}/{name}": stored for part in parts.values() for name, stored in part.files.items()}
    with zipfile.ZipFile(out, "w") as archive:
        text = json.dumps(told, cls=DjangoJSONEncoder, ensure_ascii=False, indent=2)
        archive.writestr(zipfile.ZipInfo("data.json", NO_DATE), text, zipfile.ZIP_DEFLATED)
        for name, stored in files.items():
            _add(archive, name, stored)
    out.seek(0)
    return out


def _add(archive: zipfile.ZipFile, name: str, stored: str) -> None:
    try:
        with default_storage.open(stored) as content, archive.open(zipfile.ZipInfo(name, NO_DATE), "w") as into:
            for piece in content.chunks():
                into.write(piece)
    except FileNotFoundError:
        return  # it went while the archive was made


@transaction.atomic
def erase(subject: models.Model) -> None:
    """Erase all that is kept about them, the last registered first; files go when that is written."""
    for kind in reversed(kinds_about(subject)):
        kind.erase(subject)
    transaction.on_commit(forget_pages, robust=True)


def forget_pages() -> None:
    """SQLite: what was erased leaves the log that it writes ahead of its file. `secure_delete` blanks the file itself.

    While others read the database this may leave something; the nightly round does it again.
    """
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
