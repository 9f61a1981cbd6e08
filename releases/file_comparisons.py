"""What changed between the files of two versions: asked for, made by a worker, read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from people.models import Studio
from releases.file_facts import on_disk
from releases.models import FileComparison, MadeState, PatternFile, Version
from releases.pdf.compare import METHOD, Comparison, from_dict
from releases.pdf.layers import PrintList, print_lists
from releases.pdf_facts import PdfError
from releases.pdf_reader import compared

FOLDER = "compared"


def version_before(version: Version) -> Version | None:
    """The version that this one came after."""
    others = Version.objects.filter(pattern=version.pattern_id, created__lte=version.created).exclude(pk=version.pk)
    return others.select_related("finished_chart__chart", "body_chart__chart", "pattern__studio").first()


@dataclass(frozen=True)
class FilePair:
    """The files of one kind in two versions; either may be missing. `made` is their comparison, once asked for."""

    kind: str
    old: PatternFile | None
    new: PatternFile | None
    made: FileComparison | None = None
    sizes: tuple[str, ...] = ()

    @property
    def same(self) -> bool:
        return bool(self.old and self.new and self.old.digest == self.new.digest)

    @property
    def waits(self) -> bool:
        return self.made is not None and self.made.state == MadeState.WAITING

    @property
    def result(self) -> Comparison | None:
        if self.made is None or self.made.state != MadeState.READY or self.made.result is None:
            return None
        return from_dict(self.made.result)

    @property
    def lists(self) -> list[PrintList]:
        """The pages to print again, by size and view."""
        found = self.result
        if found is None or self.new is None:
            return []
        return print_lists(found.reprint, self.sizes, (self.new.found or {}).get("layers", ()))


def file_pairs(version: Version, before: Version) -> list[FilePair]:
    """The files in use of both versions, paired by kind and then by name, each with its comparison."""
    old, new = list(before.current_files()), list(version.current_files())
    digests = {file.digest for file in new}
    made = {
        (one.old_digest, one.new_digest): one
        for one in FileComparison.objects.filter(
            studio=version.pattern.studio_id, method=METHOD, new_digest__in=digests
        )
    }
    pairs = []
    for kind in dict.fromkeys(file.kind for file in (*new, *old)):
        for one, other in _named_alike([f for f in old if f.kind == kind], [f for f in new if f.kind == kind]):
            known = made.get((one.digest, other.digest)) if one and other else None
            pairs.append(FilePair(kind, one, other, known, tuple(version.sizes)))
    return pairs


def _named_alike(
    old: list[PatternFile], new: list[PatternFile]
) -> Iterator[tuple[PatternFile | None, PatternFile | None]]:
    """Files with the same words in their names, whatever the numbers; then the others in order."""
    left = list(old)
    alone = []
    for file in new:
        same = next((one for one in left if _words(one.name) == _words(file.name)), None)
        if same is None:
            alone.append(file)
        else:
            left.remove(same)
            yield same, file
    yield from zip_longest(left, alone)


def _words(name: str) -> str:
    return re.sub(r"[\W\d_]+", " ", name.lower())


def ask_for_comparisons(version: Version, *, again: bool = False) -> int:
    """Have a worker compare what is not compared yet; those that failed only when asked `again`. Returns how many."""
    before = version_before(version)
    if before is None:
        return 0
    return sum(_ask(version.pattern.studio, pair, again) for pair in file_pairs(version, before))


def ask_for_pair(old: PatternFile, new: PatternFile) -> bool:
    """Have a worker compare two files of a studio, unless it was asked before."""
    pair = FilePair(new.kind, old, new, comparison_of(old, new))
    return _ask(new.version.pattern.studio, pair, again=False)


def comparison_of(old: PatternFile, new: PatternFile) -> FileComparison | None:
    """What was asked or found between these two files, or None."""
    return FileComparison.objects.filter(
        studio=new.version.pattern.studio_id, method=METHOD, old_digest=old.digest, new_digest=new.digest
    ).first()


def _ask(studio: Studio, pair: FilePair, again: bool) -> bool:
    from releases.jobs import compare_files

    if not pair.old or not pair.new or pair.same:
        return False
    if pair.made and not (again and pair.made.state == MadeState.FAILED):
        return False
    with transaction.atomic():
        made, _is_new = FileComparison.objects.get_or_create(
            studio=studio, old_digest=pair.old.digest, new_digest=pair.new.digest, method=METHOD
        )
        made.state, made.pages_done = MadeState.WAITING, 0
        made.save(update_fields=["state", "pages_done"])
        compare_files.enqueue(made.ref)
    return True


def make(made: FileComparison) -> None:
    """Compare the two contents and keep what differs. Run again, it finds the work done."""
    if made.state == MadeState.READY:
        return
    old, new = (_stored(made.studio, digest) for digest in (made.old_digest, made.new_digest))
    if old is None or new is None:  # removed meanwhile: nobody needs it
        made.delete()
        return
    try:
        with on_disk(old) as first, on_disk(new) as second:
            found = compared(first, second, _Progress(made))
    except (PdfError, FileNotFoundError):
        FileComparison.objects.filter(pk=made.pk).update(state=MadeState.FAILED)
        return
    pictures = dict(_keep(made, found["pictures"]))
    FileComparison.objects.filter(pk=made.pk).update(
        state=MadeState.READY, result=found["comparison"], pictures=pictures
    )


class _Progress:
    """Writes how far a comparison is, now and then."""

    def __init__(self, made: FileComparison) -> None:
        self.made = made
        self.last = timezone.now()

    def __call__(self, done: int, of: int) -> None:
        if (timezone.now() - self.last).total_seconds() < settings.PROGRESS_SECONDS:
            return
        self.last = timezone.now()
        FileComparison.objects.filter(pk=self.made.pk).update(pages_done=done, pages_all=of)


def _keep(made: FileComparison, pictures: dict[str, str]) -> Iterator[tuple[str, str]]:
    for page, drawn in pictures.items():
        name = f"{FOLDER}/{made.studio.ref}/{made.ref}-{int(page)}.svg"
        default_storage.delete(name)
        yield page, default_storage.save(name, ContentFile(drawn.encode()))


def _stored(studio: Studio, digest: str) -> str | None:
    found = PatternFile.objects.filter(version__pattern__studio=studio, digest=digest)
    return found.values_list("stored", flat=True).first()
