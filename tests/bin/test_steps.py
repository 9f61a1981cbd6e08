"""A failing step ends in one telling line."""

from __future__ import annotations

import subprocess
import sys

import pytest

from lib import server
from lib.steps import ROOT, Stop, end_child, run, telling_line

START = [sys.executable, str(ROOT / "bin" / "start")]


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (["Collecting a", "ERROR: No matching distribution", "WARNING: old"], "ERROR: No matching distribution"),
        (["Traceback", "django.core.exceptions.ImproperlyConfigured: DEBUG is wrong."], "DEBUG is wrong."),
        (["ValueError: too long: 7"], "too long: 7"),
        (["could not connect: refused", ""], "could not connect: refused"),
        ([], "it said nothing"),
    ],
)
def test_the_telling_line(lines, told):
    assert telling_line(lines) == told


def test_a_failing_command_stops_with_its_last_line_and_the_log(tmp_path):
    log = tmp_path / "log"
    command = [sys.executable, "-c", "import sys; print('seam open'); sys.exit(3)"]
    with pytest.raises(Stop, match=rf"Sewing failed: seam open \(all of it: {log}\)"):
        run("Sewing", command, log=log)
    assert log.read_text() == "seam open\n"


def test_a_command_gives_back_what_it_printed(tmp_path):
    assert run("Cutting", [sys.executable, "-c", "print('cut')"], log=tmp_path / "log") == "cut\n"


def test_a_child_that_will_not_end_is_ended():
    stubborn = (
        "import signal; signal.signal(signal.SIGTERM, signal.SIG_IGN); print('ready', flush=True); signal.pause()"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", stubborn], stdout=subprocess.PIPE, text=True, start_new_session=True
    )
    with child:
        assert child.stdout.readline() == "ready\n"
        end_child(child, seconds=0.1, group=True)
    assert child.returncode == -9


def test_a_port_in_use_is_named_with_the_way_out():
    with server.take_port(0) as first:
        first.listen()
        port = first.getsockname()[1]
        with pytest.raises(Stop, match=f"port {port} is in use.* bin/start --port {port + 1}"):
            server.take_port(port)


def started(*arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*START, *arguments], capture_output=True, text=True, check=False, env=variables)


@pytest.mark.parametrize(
    ("arguments", "variables", "told"),
    [
        (["--port", "99999"], {}, "--port: must be a number from 1 to 65535"),
        ([], {"PRODUCTION": "yes"}, "PRODUCTION is set"),
        (["--prepare"], {"DATA_DIR": "/dev/null"}, "DATA_DIR is /dev/null, and that is not a folder"),
    ],
)
def test_a_wrong_start_is_one_line_and_no_traceback(arguments, variables, told):
    done = started(*arguments, **variables)
    assert done.returncode != 0
    assert told in done.stderr.splitlines()[-1]
    assert "Traceback" not in done.stderr
