"""`manage.py lay_plan FILE`: the fabric that a cutting list needs, and how its pieces lie."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from config.limits import LAY_FILE_BYTES
from people.commands import PlainCommand
from releases.lay_file import LayFileError, answer, read_lay_file
from releases.lay_plan import plan


class Command(PlainCommand):
    help = "Lay the pieces of a cutting list (JSON, see docs/algorithms/fabric.md) on cloth, as short as can be found."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a cutting list as JSON, or - for standard input")
        parser.add_argument("--json", action="store_true", help="print the layout as JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            pieces, cloth, unit = read_lay_file(_content(options["file"]))
        except LayFileError as error:
            raise CommandError(f"{options['file']}: {error}", returncode=2) from None
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}.", returncode=2) from None
        made = answer(pieces, cloth, plan(pieces, cloth))
        if options["json"]:
            self.stdout.write(json.dumps(made, ensure_ascii=False, indent=1, allow_nan=False))
        else:
            self.stdout.write("\n".join(_lines(made, unit)))


def _content(name: str) -> bytes:
    if name == "-":
        return sys.stdin.buffer.read(LAY_FILE_BYTES + 1)
    with Path(name).open("rb") as file:
        return file.read(LAY_FILE_BYTES + 1)


def _lines(made: dict[str, Any], unit: str) -> Iterator[str]:
    yield from made["refused"]
    if made["length"] is None:
        return
    bought = f"Buy {made['buy_m']:.1f} m or {made['buy_yd']:g} yd"
    yield f"{bought}: the layout is {made['length']:g} {unit} long, {made['layout']}."
    width = max(len(one["name"]) for one in made["placements"])
    yield f"{'piece':{width}}  {'x':>8}  {'y':>8}  {'length':>8}  {'width':>8}"
    for one in made["placements"]:
        numbers = "  ".join(f"{one[key]:8.2f}" for key in ("x", "y", "length", "width"))
        yield f"{one['name']:{width}}  {numbers}{'  laid across' if one['turned'] else ''}"
