"""Runs the asked parts of the bench inside the app, and prints their figures."""

from __future__ import annotations

import os
import sys
import time


def main(arguments: list[str]) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    full, names = "--full" in arguments, [name for name in arguments if not name.startswith("--")]
    rounds = next((int(one.partition("=")[2]) for one in arguments if one.startswith("--rounds=")), 0)
    import django
    from django.conf import settings

    settings.ROOT_URLCONF = "lib.bench_floor"
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from lib.bench_advice import advice
    from lib.bench_figures import Figure, table
    from lib.bench_files import files
    from lib.bench_grade import grade
    from lib.bench_lay import lay
    from lib.bench_pages import growth, pages, queries, sizes
    from lib.bench_papers import papers
    from lib.bench_photos import photos
    from lib.bench_processes import processes
    from lib.bench_reading import reading

    known = (pages, queries, growth, sizes, photos, papers, reading, advice, grade, lay, files, processes)
    parts = {part.__name__: part for part in known}
    figures: list[Figure] = []
    for name in names:
        began = time.monotonic()
        print(f"  {name} ...", file=sys.stderr, flush=True)
        figures += reading(full=full, rounds=rounds) if name == "reading" else parts[name](full=full)
        print(f"  {name}: {time.monotonic() - began:.0f} s", file=sys.stderr, flush=True)
    print(table(figures))
    missed = sum(figure.verdict == "over" for figure in figures)
    print(f"{len(figures)} figures, {missed} over their bar; {_database()}, Python {sys.version.split()[0]}.")
    return 0


def _database() -> str:
    from django.db import connection

    return {"sqlite": "SQLite", "postgresql": "PostgreSQL"}[connection.vendor]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
