"""With EMAIL_HOST set, mail goes out by SMTP, whole and in order; a server that fails costs no data."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from django.urls import reverse

from people.models import Invitation
from tests.factories import make_cast, signed_in
from tests.holds.smtp import MailServer, mail_server
from tests.house.project import ROOT


@pytest.fixture
def server() -> Iterator[MailServer]:
    with mail_server() as running:
        yield running


@pytest.fixture
def by_smtp(server: MailServer, settings: Any) -> MailServer:
    """The app of this test sends through the server."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", server.port, False
    return server


def manage(tmp_path: Any, *arguments: str, **env: str) -> subprocess.CompletedProcess:
    """A command of the app with nothing but these settings."""
    known = {"PATH": os.environ["PATH"], "DATA_DIR": str(tmp_path)}
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    return subprocess.run(command, cwd=ROOT, env={**known, **env}, capture_output=True, text=True, check=False)


def test_settings_alone_send_mail_to_the_server(server, tmp_path) -> None:
    env = {"EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": str(server.port), "EMAIL_TLS": "no"}
    done = manage(
        tmp_path, "sendtestemail", "mara@saltmarsh.example", MAIL_FROM="Saltmarsh <row@saltmarsh.example>", **env
    )
    assert done.returncode == 0, done.stderr
    assert [letter["From"] for letter in server.letters] == ["Saltmarsh <row@saltmarsh.example>"]


def test_without_settings_mail_is_printed(server, tmp_path) -> None:
    done = manage(tmp_path, "sendtestemail", "mara@saltmarsh.example")
    assert "To: mara@saltmarsh.example" in done.stdout
    assert server.letters == []


def test_encryption_that_the_server_does_not_offer_keeps_the_mail_here(server, tmp_path) -> None:
    env = {"EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": str(server.port)}
    done = manage(tmp_path, "sendtestemail", "mara@saltmarsh.example", **env)
    assert done.returncode != 0
    assert "STARTTLS" in done.stderr
    assert server.letters == []


@pytest.mark.django_db(transaction=True)
def test_an_invitation_arrives_with_its_link(by_smtp) -> None:
    cast = make_cast()
    page = reverse("studio_people", args=[cast.studio.ref])
    signed_in(cast.owner).post(page, {"email": "zoe@saltmarsh.example", "role": "designer"})
    letter = by_smtp.letters[0]
    assert letter["To"] == "zoe@saltmarsh.example"
    for form in ("plain", "html"):
        said = letter.get_body((form,)).get_content()
        assert "/invitations/" in said
        assert "Saltmarsh Row" in letter["Subject"] + said


@pytest.mark.django_db(transaction=True)
def test_a_server_that_refuses_costs_no_data_and_is_said(by_smtp) -> None:
    by_smtp.refuses = True
    cast = make_cast()
    answer = signed_in(cast.owner).post(
        reverse("studio_people", args=[cast.studio.ref]), {"email": "zoe@saltmarsh.example", "role": "designer"}
    )
    assert "The mail did not leave" in answer.content.decode()
    assert Invitation.objects.filter(email="zoe@saltmarsh.example").exists()
