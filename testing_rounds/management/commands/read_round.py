"""`manage.py read_round FILE`: the readings of a round file, as a table or as JSON."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from django.core.management.base import CommandError

from config.limits import ROUND_FILE_BYTES
from people.commands import PlainCommand
from testing_rounds.reading import METHODS, USUAL_METHOD, Reading, UnknownMethodError, read
from testing_rounds.reading_table import as_table
from testing_rounds.round_data import RoundData
from testing_rounds.round_file import RoundFileError, parse


class Command(PlainCommand):
    help = "Read a round file (docs/round-file.md) and print what its reports say of each zone."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", default="-", help="a round file, or - for standard input (the default)")
        parser.add_argument("--json", action="store_true", help="print the readings as JSON alone")
        parser.add_argument("--lines", action="store_true", help="one round a line in, one list of readings a line out")
        parser.add_argument("--method", default=USUAL_METHOD, help=f"how to read: {', '.join(METHODS)}")
        parser.add_argument("--stage", help="the stage to read; else the toiles")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with _opened(options["file"]) as stream:
                if options["lines"]:
                    self._read_lines(stream, options)
                else:
                    self._read_one(stream, options)
        except (RoundFileError, UnknownMethodError) as error:
            raise CommandError(str(error), returncode=2) from None
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}", returncode=2) from None

    def _read_one(self, stream: BinaryIO, options: dict[str, Any]) -> None:
        data = parse(stream.read(ROUND_FILE_BYTES + 1))
        readings = _readings(data, options)
        if options["json"]:
            self.stdout.write(_json(readings, indent=1))
        else:
            self.stdout.write(as_table(data, readings, options["stage"]), ending="")

    def _read_lines(self, stream: BinaryIO, options: dict[str, Any]) -> None:
        """A line out for each line in: the readings, or {"error": sentence} for one that cannot be read."""
        broken: list[str] = []
        lines = 0
        for lines, (number, line) in enumerate(_lines(stream), 1):  # noqa: B007
            try:
                said = _json(_readings(parse(line), options))
            except RoundFileError as error:
                broken.append(f"line {number}: {error}")
                said = json.dumps({"error": broken[-1]}, ensure_ascii=False)
            self.stdout.write(said)
            self.stdout.flush()
        if broken:
            raise CommandError(f"{len(broken)} of {lines} rounds cannot be read; {broken[0]}", returncode=2)


def _readings(data: RoundData, options: dict[str, Any]) -> list[Reading]:
    stage = options["stage"]
    if stage and data.reports and stage not in data.stages:
        raise RoundFileError(f"the file has no report of the stage {stage}; its stages are {', '.join(data.stages)}")
    return read(data, method=options["method"], stage=stage)


def _opened(name: str) -> BinaryIO:
    return open(sys.stdin.fileno(), "rb", closefd=False) if name == "-" else Path(name).open("rb")


def _lines(stream: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """The lines of a stream with their numbers; empty ones are passed over. One that is too long is still one line."""
    number = 0
    while line := stream.readline(ROUND_FILE_BYTES + 1):
        number += 1
        rest = line
        while len(rest) > ROUND_FILE_BYTES and not rest.endswith(b"\n"):
            rest = stream.readline(ROUND_FILE_BYTES + 1)
        if line.strip():
            yield number, line if len(line) > ROUND_FILE_BYTES else line.strip()


def _json(readings: list[Reading], indent: int | None = None) -> str:
    values = [reading.as_dict() for reading in readings]
    return json.dumps(values, ensure_ascii=False, indent=indent, allow_nan=False)
