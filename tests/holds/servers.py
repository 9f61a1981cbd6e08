"""The real web server on the test's database, and visitors who reach it as a browser does."""

from __future__ import annotations

import http.client
import os
import socket
import subprocess
import sys
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from django.core.management import call_command
from django.db import connection

from tests.house.project import ROOT

DEADLINE = 60
BOUNDARY = "----toile"
PRODUCTION = {
    "PRODUCTION": "yes",
    "SECRET_KEY": "a-key-for-the-tests-alone-0123456789-abcdefghijklmnopqrstuvwxyz",
    "ALLOWED_HOSTS": "studio.example",
    "SITE_ADDRESS": "https://studio.example",
    "EMAIL_HOST": "mail.studio.example",
    "BEHIND_PROXY": "yes",
}


def database_url() -> str:
    """The test's database, as another process is told of it."""
    parts = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{parts['NAME']}"
    return f"postgresql://{parts['USER']}@{quote(parts['HOST'], safe='')}/{parts['NAME']}"


@dataclass
class Answer:
    status: int
    headers: Mapping[str, str]
    body: bytes
    set_cookies: list[str]


class Server:
    """gunicorn with the settings of production's web server. Requests wait in the queue until it has started."""

    def __init__(self, folder: Path, **env: str) -> None:
        self.ear = socket.create_server(("127.0.0.1", 0), backlog=128)
        self.port: int = self.ear.getsockname()[1]
        self.folder, self.env = folder, env
        self.start()

    def start(self) -> None:
        known = {"PATH": os.environ["PATH"], "DATA_DIR": str(self.folder), "DATABASE_URL": database_url()}
        known |= {"BIND": f"fd://{self.ear.fileno()}", "WEB_PROCESSES": "1", "WORKER_IN_PROCESS": "no"}
        command = [sys.executable, "-m", "gunicorn", "--config", "config/gunicorn.py", "config.wsgi"]
        self.child = subprocess.Popen(
            command,
            cwd=ROOT,
            env={**known, **self.env},
            pass_fds=[self.ear.fileno()],
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )

    def kill(self) -> None:
        """kill -9 of the server and its processes."""
        os.killpg(self.child.pid, 9)
        self.child.wait(DEADLINE)

    def end(self) -> None:
        if self.child.poll() is None:
            self.kill()
        self.ear.close()


class Visitor:
    """A browser's cookies and forms, and nothing else of it."""

    def __init__(self, port: int, headers: Mapping[str, str] | None = None) -> None:
        self.port, self.headers = port, dict(headers or {})
        self.cookies: dict[str, str] = {}

    def get(self, path: str) -> Answer:
        return self._ask("GET", path)

    def post(self, path: str, fields: Mapping[str, str], **files: bytes) -> Answer:
        """Send a form; with `files` as parts. The token is that of the cookie, as a page would hold it."""
        fields = {**fields, "csrfmiddlewaretoken": self.cookies.get("csrftoken", "")}
        if not files:
            return self._ask("POST", path, urlencode(fields).encode(), "application/x-www-form-urlencoded")
        return self._ask("POST", path, _parts(fields, files), f"multipart/form-data; boundary={BOUNDARY}")

    def _ask(self, method: str, path: str, body: bytes | None = None, kind: str = "") -> Answer:
        headers = {**self.headers, "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if kind:
            headers["Content-Type"] = kind
        caller = http.client.HTTPConnection("127.0.0.1", self.port, timeout=DEADLINE)
        try:
            caller.request(method, path, body, headers)
            response = caller.getresponse()
            set_cookies = response.headers.get_all("Set-Cookie") or []
            answer = Answer(response.status, dict(response.getheaders()), response.read(), set_cookies)
            for line in set_cookies:
                name, _, value = line.partition(";")[0].partition("=")
                self.cookies[name] = value
        finally:
            caller.close()
        return answer


def _parts(fields: Mapping[str, str], files: Mapping[str, bytes]) -> bytes:
    heads = [(f'name="{name}"', value.encode()) for name, value in fields.items()]
    heads += [(f'name="{name}"; filename="{name}.jpg"', content) for name, content in files.items()]
    parts = [f"--{BOUNDARY}\r\nContent-Disposition: form-data; {head}\r\n\r\n".encode() + body for head, body in heads]
    return b"\r\n".join([*parts, f"--{BOUNDARY}--\r\n".encode()])


def at_once(*calls: Any) -> list[Any]:
    """Make the calls at the same time, each in a thread, and return what they gave."""
    with ThreadPoolExecutor(len(calls)) as threads:
        return [future.result(DEADLINE) for future in [threads.submit(call) for call in calls]]


@pytest.fixture
def serve(transactional_db: None, tmp_path: Path) -> Iterator[Any]:
    """Start a server with these variables of the environment; none outlives the test."""
    started = []
    # The tests' own cache is in memory, so their database has no table for it.
    call_command("createcachetable", "cache_entries", verbosity=0)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM cache_entries")

    def start(**env: str) -> Server:
        started.append(Server(tmp_path, **env))
        return started[-1]

    yield start
    for server in started:
        server.end()
