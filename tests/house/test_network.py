"""Tests reach this machine only."""

from __future__ import annotations

import socket

import pytest

from tests.conftest import is_this_machine


def test_another_machine_is_refused_and_named():
    with socket.socket() as sock, pytest.raises(ConnectionRefusedError, match=r"192\.0\.2\.1"):
        sock.connect(("192.0.2.1", 80))


def test_this_machine_is_reached():
    with socket.create_server(("127.0.0.1", 0)) as server, socket.socket() as sock:
        sock.connect(server.getsockname())


@pytest.mark.parametrize("address", ["/run/socket", ("localhost", 5), ("127.3.2.1", 5), ("::1", 5, 0, 0)])
def test_addresses_of_this_machine(address):
    assert is_this_machine(address)


@pytest.mark.parametrize("address", [("10.0.0.1", 5), ("studio.example", 5), ("0.0.0.0", 5), ("2001:db8::1", 5, 0, 0)])
def test_addresses_of_other_machines(address):
    assert not is_this_machine(address)
