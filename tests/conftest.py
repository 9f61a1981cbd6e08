"""What every test lives by: no network but this machine, a clean cache, and a choice of tests by database."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache
from django.db.backends.sqlite3.base import DatabaseWrapper as SQLite
from django.utils import translation

BROWSER_TESTS = Path(__file__).parent / "browser"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--only-database", action="store_true", help="only tests that use the database, no browser")
    parser.addoption("--without-browser", action="store_true", help="leave out the tests that drive Chromium")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if BROWSER_TESTS in item.path.parents:
            item.add_marker(pytest.mark.browser)
    left_out = [item for item in items if not _is_asked(item, config)]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if _is_asked(item, config)]


def _is_asked(item: pytest.Item, config: pytest.Config) -> bool:
    if item.get_closest_marker("browser"):
        return not (config.getoption("--only-database") or config.getoption("--without-browser"))
    if not config.getoption("--only-database"):
        return True
    return _uses_database(item) and item.get_closest_marker("one_database") is None


def _uses_database(item: pytest.Item) -> bool:
    named = {"db", "transactional_db", "live_server"} & set(getattr(item, "fixturenames", ()))
    return bool(named) or item.get_closest_marker("django_db") is not None


def is_this_machine(address: Any) -> bool:
    """Whether a socket's address stays here: a path, localhost, or a loopback number."""
    if not isinstance(address, tuple):
        return True
    host = str(address[0]).partition("%")[0]
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@pytest.fixture(autouse=True)
def english() -> None:
    """A request leaves its reader's language in the thread; the next test begins in the usual one."""
    translation.activate(settings.LANGUAGE_CODE)


@pytest.fixture(autouse=True, scope="session")
def no_network() -> Iterator[None]:
    """A test that reaches for another machine fails and names it."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("connect", "connect_ex"):
            patch.setattr(socket.socket, name, _guarded(getattr(socket.socket, name)))
        yield


def _guarded(real: Any) -> Any:
    def connect(self: socket.socket, address: Any) -> Any:
        if not is_this_machine(address):
            raise ConnectionRefusedError(f"tests use no network, and this one asked for {address}")
        return real(self, address)

    return connect


@pytest.fixture(autouse=True)
def clean_cache() -> Iterator[None]:
    yield
    cache.clear()


@pytest.fixture(autouse=True, scope="session")
def flushed_whole() -> Iterator[None]:
    """Emptying the database after a test with real commits takes the audit trail too, which refuses deletion."""

    def flush(self: Any, statements: list[str]) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
        away = [f"DROP TRIGGER {name}" for name, _sql in triggers]
        real(self, [*away, *statements, *(sql for _name, sql in triggers)])

    real = SQLite.ops_class.execute_sql_flush
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SQLite.ops_class, "execute_sql_flush", flush)
        yield
