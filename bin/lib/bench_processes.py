"""What the web process and the worker take of memory, and whether that grows."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models import F
from django_tasks_db.models import DBTaskResult

from lib.bench_figures import Figure
from lib.bench_memory import resident_megabytes
from lib.bench_photos import noisy_photo
from lib.bench_world import World
from lib.steps import ROOT, Stop
from testing_rounds.actions.reports import open_report
from testing_rounds.actions.summaries import ask_for_summary
from testing_rounds.jobs import forget_in_time, prepare_photo
from testing_rounds.models import Photo, Place, Round

DEADLINE_SECONDS = 600
EVERY_PHOTO, EVERY_PDF = 5, 25

WEB = """
import json, sys
from config.wsgi import application
from lib.bench_memory import peak_bytes
environ = {"REQUEST_METHOD": "GET", "PATH_INFO": "/privacy/", "SERVER_NAME": "127.0.0.1", "SERVER_PORT": "80",
           "wsgi.url_scheme": "http", "wsgi.input": sys.stdin.buffer, "wsgi.errors": sys.stderr}
b"".join(application(environ, lambda status, headers: None))
heavy = [name for name in ("weasyprint", "scipy", "boto3", "PIL") if name in sys.modules]
print(json.dumps([peak_bytes() / 1e6, heavy]))
"""


def processes(*, full: bool) -> list[Figure]:
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings"}
    done = subprocess.run([sys.executable, "-c", WEB], cwd=ROOT, env=env, capture_output=True, check=True)
    whole, heavy = json.loads(done.stdout)
    unwanted = [name for name in heavy if name in {"weasyprint", "scipy", "boto3"}]
    came = f"loads {', '.join(heavy)}" if heavy else "loads no heavy library"
    return [
        Figure("web process after its first page", whole, "MB"),
        Figure("heavy libraries that it loads unasked", len(unwanted), "", bar=0, came=came),
        *_worker_memory(1_000 if full else 300),
    ]


class Jobs:
    """Jobs of all kinds for one worker: most find nothing to do, some prepare a photo, a few make a PDF."""

    def __init__(self) -> None:
        world = World()
        self.by, self.found = world.owner, world.round(20)
        self.place, _phone = world.tester(self.found)
        self.photo, self.number = noisy_photo((2000, 1500)), 0

    def run(self, jobs: int, *, light: bool = False) -> None:
        """Enqueue so many, and wait until all are done."""
        for _ in range(jobs):
            self.number += 1
            if not light and self.number % EVERY_PDF == 0:
                Round.objects.filter(pk=self.found.pk).update(revision=F("revision") + 1)
                ask_for_summary(found=Round.objects.get(pk=self.found.pk), paper="a4", by=self.by)
            elif not light and self.number % EVERY_PHOTO == 0:
                self._photo()
            else:
                forget_in_time.enqueue("none")
        self._wait()

    def _photo(self) -> None:
        name = default_storage.save(f"photos/{self.place.ref}/{self.number}", ContentFile(self.photo))
        report = open_report(Place.objects.get(pk=self.place.pk))
        prepare_photo.enqueue(Photo.objects.create(report=report, upload_key=str(self.number), incoming=name).ref)

    def _wait(self) -> None:
        deadline = time.monotonic() + DEADLINE_SECONDS
        now = DBTaskResult.objects.exclude(task_path__endswith="tidy")
        while now.filter(status="RUNNING").exists() or DBTaskResult.objects.ready().exists():
            if time.monotonic() > deadline:
                raise Stop("the worker did not end its jobs.")
            time.sleep(0.05)
        if DBTaskResult.objects.failed().exists():
            raise Stop(f"a job failed: {DBTaskResult.objects.failed()[0].traceback[-300:]}")


def _worker_memory(many: int) -> list[Figure]:
    """A worker as it idles; after photos and PDFs; and after many jobs of all kinds."""
    jobs = Jobs()
    worker = subprocess.Popen([sys.executable, "manage.py", "work"], cwd=ROOT, env=os.environ)
    try:
        jobs.run(2, light=True)
        idle = resident_megabytes(worker.pid)
        jobs.run(4 * EVERY_PDF)
        loaded = resident_megabytes(worker.pid)
        jobs.run(many)
        after = resident_megabytes(worker.pid)
    finally:
        worker.terminate()
        worker.wait(60)
    return [
        Figure("worker, idle", idle, "MB", bar=120),
        Figure(f"worker, after {many:,} further jobs", after / loaded, bar=1.1, came=f"{loaded:.0f} to {after:.0f} MB"),
    ]
