"""bin/start serves, keeps what is there, and leaves nothing running."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lib.steps import ROOT


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


@contextmanager
def serving(folder: Path, port: int) -> Iterator[subprocess.Popen[str]]:
    """bin/start once it said that it is ready; killed if the test left it running."""
    command = [sys.executable, str(ROOT / "bin" / "start"), "--no-demo", "--port", str(port)]
    env = {"PATH": os.environ["PATH"], "HOME": str(folder), "DATA_DIR": str(folder)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=env) as child:
        try:
            said = []
            for line in child.stdout:
                said.append(line)
                if line.startswith("Ready: "):
                    break
            assert said, "it said nothing"
            assert said[-1] == f"Ready: http://127.0.0.1:{port}\n", "".join(said)
            yield child
        finally:
            child.kill()


def first_page(port: int) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        connection.request("GET", "/")
        return connection.getresponse().status
    finally:
        connection.close()


def end(child: subprocess.Popen[str], number: int) -> int:
    """Send the signal, read to the end, and return the exit code."""
    child.send_signal(number)
    child.stdout.read()
    return child.wait()


def test_two_starts_serve_the_same_data_and_end_without_a_trace(tmp_path):
    port = free_port()
    with serving(tmp_path, port) as child:
        assert first_page(port) == 200
        assert end(child, signal.SIGINT) == 0
    key = (tmp_path / "secret_key").read_text()
    with serving(tmp_path, port) as child:
        assert first_page(port) == 200
        assert (tmp_path / "secret_key").read_text() == key
        assert end(child, signal.SIGTERM) == 128 + signal.SIGTERM
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) != 0, "the server outlived bin/start"
