"""Opening a stranger's PDF in a process of its own, which may use so much time and memory and no more.

A hostile file can then stop only its reader. Why: docs/decisions/0004-files-in-a-child-process.md.
The child is this module run as a program: `python -m releases.pdf_child PATH PAGES MEMORY SECONDS`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from releases.pdf_facts import PdfError, PdfFacts, read_facts

_ROOT = Path(__file__).resolve().parent.parent
# The child says a line for each page; a reader that says more is out of hand.
_MOST_ANSWER = 2_000_000


def inspect(path: Path, *, most_pages: int, memory_bytes: int, seconds: int) -> PdfFacts:
    """The facts of the PDF at this path. Raises PdfError; a reader that ran out of its limits is `broken`."""
    command = [sys.executable, "-m", "releases.pdf_child", str(path), str(most_pages), str(memory_bytes), str(seconds)]
    try:
        done = subprocess.run(
            command,
            cwd=_ROOT,
            env={"PYTHONDONTWRITEBYTECODE": "1"},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            # The processor's time is limited in the child; this ends one that only waits.
            timeout=3 * seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise PdfError("broken") from None
    return _understood(done.returncode, done.stdout[:_MOST_ANSWER])


def _understood(code: int, answer: bytes) -> PdfFacts:
    try:
        said: dict[str, Any] = json.loads(answer) if code == 0 else {}
    except ValueError:
        said = {}
    if "page_mm" not in said:
        raise PdfError(said.get("refused", "broken"))
    return PdfFacts(tuple((width, height) for width, height in said["page_mm"]))


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


def main(arguments: list[str]) -> int:
    path, most_pages, memory_bytes, seconds = arguments
    _limit(int(memory_bytes), int(seconds))
    try:
        facts = read_facts(Path(path), int(most_pages))
        answer: dict[str, object] = {"page_mm": facts.page_mm}
    except PdfError as error:
        answer = {"refused": error.code}
    sys.stdout.write(json.dumps(answer))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
