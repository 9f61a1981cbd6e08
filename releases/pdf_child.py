"""Opening a stranger's PDF in a process of its own, which may use so much time and memory and no more.

A hostile file can then stop only its reader. Why: docs/decisions/0004-files-in-a-child-process.md.
The child is this module run as a program: `python -m releases.pdf_child WHAT MEMORY SECONDS PAGES PATH...`. It prints
a line of JSON for each page that it has done with, and one with its answer.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Literal, get_args

from releases.pdf_facts import PdfError, PdfFacts, Refusal, read_facts

_ROOT = Path(__file__).resolve().parent.parent
# Facts of a file are some megabytes, pictures of changed pages some tens; a reader that says more is out of hand.
_MOST_ANSWER = 80_000_000

What = Literal["facts", "look", "compare", "words"]
Told = Callable[[int, int], None]


@dataclass(frozen=True)
class ChildLimits:
    """What a child may use: pages, bytes of memory, seconds of the processor (three times as many by the clock)."""

    most_pages: int
    memory_bytes: int
    seconds: int


def inspect(path: Path, *, most_pages: int, memory_bytes: int, seconds: int) -> PdfFacts:
    """The sizes of the pages of the PDF at this path. Raises PdfError; a reader beyond its limits is `broken`."""
    said = ask_child("facts", [path], ChildLimits(most_pages, memory_bytes, seconds))
    return PdfFacts(tuple((width, height) for width, height in said["page_mm"]))


def ask_child(what: What, paths: list[Path], limits: ChildLimits, told: Told | None = None) -> dict[str, Any]:
    """The child's answer. `told` hears how many pages of how many are done. Raises PdfError."""
    given = (what, limits.memory_bytes, limits.seconds, limits.most_pages, *paths)
    with subprocess.Popen(
        [sys.executable, "-m", "releases.pdf_child", *map(str, given)],
        cwd=_ROOT,
        # Hashes alike in every run; one thread, since threads beside each other break the limit of memory.
        env={"PYTHONDONTWRITEBYTECODE": "1", "PYTHONHASHSEED": "0", "OPENBLAS_NUM_THREADS": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as child:
        # The processor's time is limited in the child; this ends one that only waits.
        clock = threading.Timer(3 * limits.seconds, child.kill)
        clock.daemon = True
        clock.start()
        try:
            answer = _heard(child.stdout, told) if child.stdout else {}
        finally:
            clock.cancel()
            child.kill()
    if "refused" in answer and answer["refused"] in get_args(Refusal):
        raise PdfError(answer["refused"])
    if "answer" not in answer:
        raise PdfError("broken")
    found: dict[str, Any] = answer["answer"]
    return found


def _heard(stream: IO[bytes], told: Told | None) -> dict[str, Any]:
    """The last line that is an answer."""
    left = _MOST_ANSWER
    while line := stream.readline(left):
        left -= len(line)
        try:
            said = json.loads(line)
        except ValueError:
            return {}
        if "at" not in said:
            return dict(said)
        if told:
            told(*said["at"])
    return {}


def _limit(memory_bytes: int, seconds: int) -> None:
    """Memory, processor time, no files written, no core dump: where the system knows such limits."""
    import resource

    for name, most in (
        ("RLIMIT_AS", memory_bytes),
        ("RLIMIT_CPU", seconds),
        ("RLIMIT_FSIZE", 0),
        ("RLIMIT_CORE", 0),
    ):
        try:
            resource.setrlimit(getattr(resource, name), (most, most))
        except (ValueError, OSError):  # a system that does not limit this (macOS and memory)
            continue


def _say(line: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(line, separators=(",", ":")) + "\n")
    sys.stdout.flush()


def _done(number: int, of: int) -> None:
    _say({"at": [number, of]})


def _answer(what: str, paths: Iterator[Path], most_pages: int) -> dict[str, Any]:
    if what == "facts":
        return {"page_mm": read_facts(next(paths), most_pages).page_mm}
    if what == "look":
        from releases.pdf.inspection import look

        return look(next(paths), most_pages, _done).as_dict()
    if what == "words":
        from releases.pdf.booklet_words import words_of

        return {"pages": words_of(next(paths), most_pages)}
    from releases.pdf.compare import compare_files

    return compare_files(next(paths), next(paths), most_pages, _done)


def main(arguments: list[str]) -> int:
    what, memory_bytes, seconds, most_pages, *paths = arguments
    _limit(int(memory_bytes), int(seconds))
    try:
        _say({"answer": _answer(what, map(Path, paths), int(most_pages))})
    except PdfError as error:
        _say({"refused": error.code})
    except (MemoryError, RecursionError):
        _say({"refused": "broken"})
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
