"""The web server of production: threads that share few connections, slow visitors, safe answers, a quiet end."""

from __future__ import annotations

import http.client
import signal
import subprocess
import sys
from contextlib import ExitStack, closing
from functools import partial

import pytest
from allauth.account.models import EmailAddress
from django.db import connection

from people.hashers import SmallArgon2
from people.models import WorkerSign
from tests.factories import PASSWORD, make_cast
from tests.holds.servers import DEADLINE, PRODUCTION, Server, Visitor, at_once
from tests.house.project import ROOT

BY_PROXY = {"Host": "studio.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.7"}


@pytest.fixture(scope="module")
def static_root(tmp_path_factory) -> str:
    """Style sheets and scripts as production serves them."""
    folder = tmp_path_factory.mktemp("static")
    env = {**PRODUCTION, "STATIC_ROOT": str(folder), "DATA_DIR": str(folder / "data")}
    command = [sys.executable, "manage.py", "collectstatic", "--noinput", "--verbosity", "0"]
    subprocess.run(command, cwd=ROOT, env=env, check=True, capture_output=True)
    return str(folder)


@pytest.fixture
def production(serve, static_root) -> Server:
    return serve(**PRODUCTION, STATIC_ROOT=static_root)


def test_many_requests_share_few_connections(serve) -> None:
    """24 readers, 8 threads, a pool of 3: each waits its turn, none is refused."""
    server = serve(WEB_THREADS="8", DATABASE_POOL="3")
    answers = at_once(*[partial(Visitor(server.port).get, "/health/")] * 24)
    assert [answer.status for answer in answers] == [200] * 24
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
            assert cursor.fetchone()[0] <= 3


def test_slow_uploads_hold_up_nobody_else(serve) -> None:
    """Five phones have sent the half of something and stopped; a sixth visitor is served."""
    server = serve(WEB_THREADS="8")
    with ExitStack() as slow:
        for _ in range(5):
            phone = slow.enter_context(closing(http.client.HTTPConnection("127.0.0.1", server.port)))
            phone.putrequest("POST", "/sign-in/")
            phone.putheader("Content-Length", "100000")
            phone.endheaders(b"half of it")
        assert Visitor(server.port).get("/health/").status == 200


def test_asked_to_stop_the_server_ends_by_itself(serve) -> None:
    server = serve()
    assert Visitor(server.port).get("/health/").status == 200
    server.child.send_signal(signal.SIGTERM)
    assert server.child.wait(DEADLINE) == 0


def test_production_speaks_https_alone(production) -> None:
    plain = Visitor(production.port, {"Host": "studio.example"}).get("/privacy/")
    assert (plain.status, plain.headers["Location"]) == (301, "https://studio.example/privacy/")
    page = Visitor(production.port, BY_PROXY).get("/privacy/")
    assert page.status == 200
    assert page.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains; preload"


def test_production_knows_its_own_hosts_alone(production) -> None:
    assert Visitor(production.port, {**BY_PROXY, "Host": "other.example"}).get("/").status == 400


def test_whoever_watches_asks_without_the_proxy(production) -> None:
    answer = Visitor(production.port, {"Host": "studio.example"}).get("/health/")
    assert (answer.status, answer.body) == (200, b"yes\n")


def test_production_keeps_its_cookies_to_itself(production) -> None:
    visitor = Visitor(production.port, {**BY_PROXY, "Referer": "https://studio.example/sign-in/"})
    owner = make_cast().owner
    page = visitor.get("/sign-in/")
    assert all("Secure" in line for line in page.set_cookies)
    EmailAddress.objects.create(user=owner, email=owner.email, primary=True, verified=True)
    owner.password = SmallArgon2().encode(PASSWORD, "salt-of-the-test")
    owner.save()
    signed_in = visitor.post("/sign-in/", {"login": owner.email, "password": PASSWORD})
    assert signed_in.status == 302
    kept = next(line for line in signed_in.set_cookies if line.startswith("sessionid="))
    assert all(word in kept for word in ("Secure", "HttpOnly", "SameSite=Lax"))


def test_production_serves_style_sheets_that_may_be_kept_for_ever(production) -> None:
    visitor = Visitor(production.port, BY_PROXY)
    page = visitor.get("/privacy/").body.decode()
    sheet = page.partition('rel="stylesheet" href="')[2].partition('"')[0]
    answer = visitor.get(sheet)
    assert answer.status == 200
    assert "immutable" in answer.headers["Cache-Control"]
    assert Visitor(production.port, BY_PROXY).get("/static/app.css.map").status == 404


def test_production_says_nothing_of_its_inside(production) -> None:
    missing = Visitor(production.port, BY_PROXY).get("/nothing/here/")
    assert missing.status == 404
    assert "urlpatterns" not in missing.body.decode()


def test_a_worker_inside_the_server_runs_jobs_and_leaves_its_job_to_the_next_start(serve, pipes) -> None:
    server = serve(WORKER_IN_PROCESS="yes", DJANGO_SETTINGS_MODULE="tests.worker_settings", PYTHONPATH=str(ROOT))
    assert Visitor(server.port).get("/health/").status == 200
    job = pipes.enqueue()
    pipes.wait_until_begun()
    server.child.send_signal(signal.SIGTERM)
    assert server.child.wait(DEADLINE) == 0
    job.refresh_from_db()
    assert job.status == "RUNNING"
    assert not WorkerSign.objects.exists()
    serve(WORKER_IN_PROCESS="yes", DJANGO_SETTINGS_MODULE="tests.worker_settings", PYTHONPATH=str(ROOT))
    pipes.wait_until_begun()
    pipes.let_go()
    job.refresh_from_db()
    assert len(job.worker_ids) == 2
