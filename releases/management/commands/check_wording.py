"""`manage.py check_wording FILE`: what a booklet's words get wrong, as a table or as JSON."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from config.limits import BOOKLET_TEXT_BYTES
from people.commands import PlainCommand
from releases.wording.check import check_wording
from releases.wording.facts import Facts, FactsError, read_facts
from releases.wording.found import Found


class Command(PlainCommand):
    help = "Check a booklet's text, alone or against the facts of its version (docs/wording-facts.md)."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a text file with the steps, or - for standard input")
        parser.add_argument("--facts", help="a JSON file of what the version declares")
        parser.add_argument("--json", action="store_true", help="print the findings as JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        facts = _facts(options["facts"]) if options["facts"] else None
        found = check_wording(_text(options["file"]), facts)
        if options["json"]:
            values = {"findings": [one.as_dict() for one in found]}
            self.stdout.write(json.dumps(values, ensure_ascii=False, indent=1, allow_nan=False))
        else:
            self.stdout.write("\n".join(map(_line, found)) or "Nothing to say.")


def _line(one: Found) -> str:
    step = "" if one.step is None else f"step {one.step}, "
    place = f"{step}line {one.line}" if one.line is not None else "booklet"
    proposed = f" Proposed: {one.proposed}" if one.proposed else ""
    return f"{place}: {one.text}: {one.says}{proposed}"


def _text(name: str) -> str:
    try:
        raw = sys.stdin.buffer.read(BOOKLET_TEXT_BYTES + 1) if name == "-" else _read(name)
    except OSError as error:
        raise CommandError(f"{name} cannot be read: {error.strerror}", returncode=2) from None
    if len(raw) > BOOKLET_TEXT_BYTES:
        raise CommandError(f"{name} is longer than {BOOKLET_TEXT_BYTES // 1_000_000} MB", returncode=2)
    if b"\0" in raw:
        raise CommandError(f"{name} is not a text file", returncode=2)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _read(name: str) -> bytes:
    with Path(name).open("rb") as stream:
        return stream.read(BOOKLET_TEXT_BYTES + 1)


def _facts(name: str) -> Facts:
    try:
        return read_facts(json.loads(_read(name)))
    except OSError as error:
        raise CommandError(f"{name} cannot be read: {error.strerror}", returncode=2) from None
    except FactsError as error:
        raise CommandError(f"{name}: {error}", returncode=2) from None
    except (ValueError, RecursionError):
        raise CommandError(f"{name} is not JSON", returncode=2) from None
