"""`manage.py verify_signoffs`: whether every sign-off of a size is as it was sealed."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from people.commands import PlainCommand
from people.models import Studio
from releases.seals import Tampered
from releases.sign_offs import Verified, verify_studio

SAYS = {
    "edited": "was edited after it was sealed",
    "swapped": "was swapped with sign-off {other}",
    "deleted": "was deleted",
    "added": "was added without being sealed",
}


class Command(PlainCommand):
    help = "Name every sign-off that was edited, deleted or swapped since it was sealed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--studio", help="only this studio, by its name")
        parser.add_argument("--json", action="store_true", help="print JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        studios = Studio.objects.order_by("name", "pk")
        if options["studio"] is not None:
            studios = studios.filter(name=options["studio"])
            if not studios:
                raise CommandError(f"There is no studio named {options['studio']}.", returncode=2)
        done = [verify_studio(studio) for studio in studios]
        self._print_json(done) if options["json"] else self._print(done)

    def _print_json(self, done: list[Verified]) -> None:
        findings = [_told(each, one) for each in done for one in each.found]
        checked = sum(each.count for each in done)
        told = {"checked": checked, "verified": not findings, "findings": findings}
        self.stdout.write(json.dumps(told, ensure_ascii=False, indent=2))

    def _print(self, done: list[Verified]) -> None:
        for each in done:
            for one in each.found:
                self.stdout.write(f"{each.studio.name}: {says(one)}")
        found, checked = sum(len(each.found) for each in done), sum(each.count for each in done)
        studios = f"{len(done)} studio{'' if len(done) == 1 else 's'}"
        if found:
            self.stdout.write(f"NOT as sealed: {found}; {checked} sign-offs there now, in {studios}.")
        else:
            self.stdout.write(f"All {checked} sign-offs are as they were sealed, in {studios}.")


def says(one: Tampered) -> str:
    """The finding in a sentence: "Sign-off 7 (size 18 of 0.9) was edited after it was sealed." """
    about = [f"size {one.size}"] if one.size else []
    of = f"{' '.join(about)} of {one.version}".strip() if one.version else " ".join(about)
    return f"Sign-off {one.number}{f' ({of})' if of else ''} {SAYS[one.what].format(other=one.other)}."


def _told(each: Verified, one: Tampered) -> dict[str, Any]:
    return {
        "studio": each.studio.name,
        "number": one.number,
        "ref": one.ref,
        "version": one.version,
        "size": one.size,
        "what": one.what,
        "other": one.other,
        "says": says(one),
    }
