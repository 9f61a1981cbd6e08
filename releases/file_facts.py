"""What a worker found in the files of a version, and what is wrong with them."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.core.files.storage import default_storage

from releases.forms.files import WHY
from releases.models import PatternFile, Version
from releases.pdf.agreement import FileFinding, FileSeen, VersionSays, findings
from releases.pdf.inspection import METHOD, Inspection, from_dict
from releases.pdf_facts import PdfError
from releases.pdf_reader import inspected


@contextmanager
def on_disk(stored: str) -> Iterator[Path]:
    """A stored content as a file that a child process can open. Raises FileNotFoundError."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as copy:
        with default_storage.open(stored, "rb") as content:
            shutil.copyfileobj(content, copy)
        copy.flush()
        yield Path(copy.name)


def look_into(file: PatternFile, told: Callable[[int, int], None] | None = None) -> None:
    """Look at a file's content and keep what was found; the same content is looked at once in a studio."""
    if is_looked_into(file):
        return
    studio = file.version.pattern.studio_id
    same = PatternFile.objects.filter(version__pattern__studio=studio, digest=file.digest, found__method=METHOD)
    found = same.values_list("found", flat=True).first()
    if found is None:
        try:
            with on_disk(file.stored) as path:
                found = inspected(path, told).as_dict()
        except PdfError as error:
            found = {"refused": error.code}
    PatternFile.objects.filter(version__pattern__studio=studio, digest=file.digest).update(found=found)


def is_looked_into(file: PatternFile) -> bool:
    found = file.found or {}
    return found.get("method") == METHOD or "refused" in found


def inspection_of(file: PatternFile) -> Inspection | None:
    """What was found, or None: not looked at yet, or it could not be read."""
    if not file.found or file.found.get("method") != METHOD:
        return None
    return from_dict(file.found)


@dataclass(frozen=True)
class FileReport:
    """A file with what was found in it. `refused` says why nothing was; both None: a worker still has to look."""

    file: PatternFile
    found: Inspection | None
    refused: str | None
    findings: tuple[FileFinding, ...]

    @property
    def waits(self) -> bool:
        return self.found is None and self.refused is None


def reports(version: Version) -> list[FileReport]:
    """The files in use, each with what is wrong with it and with its agreement with the others."""
    files = list(version.current_files())
    seen = [(file, inspection_of(file)) for file in files]
    told = findings(
        [FileSeen(file.ref, file.kind, file.name, found) for file, found in seen if found], version_says(version)
    )
    return [
        FileReport(file, found, _refused(file), tuple(finding for finding in told if finding.ref == file.ref))
        for file, found in seen
    ]


def version_says(version: Version) -> VersionSays:
    square = version.test_square_mm
    return VersionSays(version.number, tuple(version.sizes), None if square is None else float(square))


def _refused(file: PatternFile) -> str | None:
    code = (file.found or {}).get("refused")
    return None if code is None else str(WHY.get(code, WHY["broken"]))
