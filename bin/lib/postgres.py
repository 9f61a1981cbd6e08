"""A PostgreSQL server of the tests' own: a fresh cluster in a temporary folder, reached by its socket alone."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from . import native
from .steps import Stop, end_with_parent, telling_line

PACKAGES = {
    "apt-get": ["postgresql"],
    "brew": ["postgresql@17"],
    "dnf": ["postgresql-server"],
    "pacman": ["postgresql"],
}
# Nothing here outlives the tests, so nothing waits for the disk.
QUICK = ["fsync=off", "full_page_writes=off", "synchronous_commit=off", "listen_addresses=", "max_connections=60"]
START_SECONDS = 60
USER = "second_toile"


def programs() -> Path | None:
    """The folder with initdb and postgres, the newest release first."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda place: float(place.parent.name), reverse=True)
    brew = [place for root in ("/opt/homebrew", "/usr/local") for place in Path(root).glob("opt/postgresql*/bin")]
    path = [Path(found).resolve().parent for found in [shutil.which("initdb")] if found]
    return next((place for place in [*debian, *brew, *path] if (place / "postgres").exists()), None)


def ensure(*, log: Path) -> str:
    """Install PostgreSQL where that is allowed; else the sentence to show, "" when it is there."""
    packages = PACKAGES.get(native.manager(), [])
    if programs() is None and packages:
        native.install(packages, log=log)
    if programs() is not None:
        return ""
    how = f"Run: {native.command_line(packages)}" if packages else "Install its server."
    return f"PostgreSQL is missing. {how}"


@contextmanager
def cluster() -> Iterator[str]:
    """The address of a running server, for DATABASE_URL; stopped and deleted afterwards, whatever happens."""
    found = programs()
    if found is None:
        raise Stop("PostgreSQL is missing.")
    folder = Path(tempfile.mkdtemp(prefix="second-toile-pg-", dir=_short_place()))
    try:
        account = _account(folder)
        data = folder / "data"
        _init(found, data, account, folder)
        with _server(found, data, account, folder):
            yield f"postgresql://{USER}@{str(folder).replace('/', '%2F')}/postgres"
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _short_place() -> str | None:
    """A socket's path must be short, and a Mac's own temporary folder is not."""
    return "/tmp" if sys.platform == "darwin" else None  # noqa: S108


def _account(folder: Path) -> dict[str, Any]:
    """PostgreSQL refuses to run as root: then another account owns the folder, and runs the programs."""
    folder.chmod(0o755)
    if os.geteuid() != 0:
        return {}
    names = [entry.pw_name for entry in pwd.getpwall()]
    entry = pwd.getpwnam("postgres" if "postgres" in names else "nobody")
    os.chown(folder, entry.pw_uid, entry.pw_gid)
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


def _init(found: Path, data: Path, account: dict[str, Any], folder: Path) -> None:
    options = ["-U", USER, "--auth=trust", "-E", "UTF8", "--no-sync", "--no-instructions"]
    for locale in ("--locale=C.UTF-8", "--no-locale"):
        command: list[str | Path] = [found / "initdb", "-D", data, *options, locale]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, **account)
        if done.returncode == 0:
            return
        shutil.rmtree(data, ignore_errors=True)
    raise Stop(f"PostgreSQL could not make its files: {telling_line((done.stdout + done.stderr).splitlines())}")


@contextmanager
def _server(found: Path, data: Path, account: dict[str, Any], folder: Path) -> Iterator[None]:
    options = [part for setting in QUICK for part in ("-c", setting)]
    command: list[str | Path] = [found / "postgres", "-D", data, "-k", folder, *options]
    said = folder / "server.log"
    with said.open("w") as output:
        child = subprocess.Popen(
            command,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            preexec_fn=end_with_parent,
            **account,
        )
    try:
        _wait_until_ready(found, folder, child, said)
        yield
    finally:
        _stop(child)


def _wait_until_ready(found: Path, folder: Path, child: subprocess.Popen[bytes], said: Path) -> None:
    deadline = time.monotonic() + START_SECONDS
    asked: list[str | Path] = [found / "pg_isready", "-q", "-h", folder]
    while subprocess.run(asked, check=False).returncode != 0:
        if child.poll() is not None or time.monotonic() > deadline:
            raise Stop(f"PostgreSQL did not start: {telling_line(said.read_text().splitlines())}")
        time.sleep(0.1)


def _stop(child: subprocess.Popen[bytes]) -> None:
    """SIGINT sends the clients away and stops; SIGQUIT stops at once."""
    for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
        if child.poll() is None:
            child.send_signal(number)
            try:
                child.wait(10)
            except subprocess.TimeoutExpired:
                continue
