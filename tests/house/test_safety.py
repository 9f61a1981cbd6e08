"""Production starts safe or not at all, and says which setting is wrong."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from config import env
from config.safety import refuse_unsafe, unsafe_settings

SAFE = {
    "PRODUCTION": True,
    "SECRET_KEY": "k" * 60,
    "DEBUG": False,
    "ALLOWED_HOSTS": ["patterns.example"],
    "DEMO_SIGN_IN": False,
    "SITE_ADDRESS": "https://patterns.example",
    "EMAIL_HOST": "mail.example",
    "FILE_STORE": "disk",
}


def test_safe_settings_start():
    assert unsafe_settings(SAFE) == []
    refuse_unsafe(SAFE)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("SECRET_KEY", "short"),
        ("DEBUG", True),
        ("ALLOWED_HOSTS", []),
        ("ALLOWED_HOSTS", ["*"]),
        ("DEMO_SIGN_IN", True),
        ("SITE_ADDRESS", "http://patterns.example"),
        ("EMAIL_HOST", ""),
        ("FILE_STORE", "attic"),
    ],
)
def test_an_unsafe_setting_stops_production_by_name(name, value):
    with pytest.raises(ImproperlyConfigured, match=name):
        refuse_unsafe({**SAFE, name: value})


def test_a_machine_of_one_s_own_may_do_as_it_likes():
    refuse_unsafe({**SAFE, "PRODUCTION": False, "DEBUG": True, "SECRET_KEY": "short"})


@pytest.mark.parametrize(("said", "meant"), [("yes", True), ("0", False), (" True ", True), ("", False)])
def test_flags_are_read(monkeypatch, said, meant):
    monkeypatch.setenv("A_FLAG", said)
    assert env.flag("A_FLAG", not meant) is meant


def test_a_misspelt_flag_is_refused_not_guessed(monkeypatch):
    monkeypatch.setenv("A_FLAG", "flase")
    with pytest.raises(ImproperlyConfigured, match="A_FLAG"):
        env.flag("A_FLAG", False)


def test_a_number_that_is_none_is_refused(monkeypatch):
    monkeypatch.setenv("A_NUMBER", "many")
    with pytest.raises(ImproperlyConfigured, match="A_NUMBER"):
        env.number("A_NUMBER", 4)


def test_lists_lose_their_spaces(monkeypatch):
    monkeypatch.setenv("A_LIST", "a.example, b.example ,,")
    assert env.listing("A_LIST") == ["a.example", "b.example"]
