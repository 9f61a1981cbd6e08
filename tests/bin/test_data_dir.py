"""bin/start --fresh deletes our own data, and nothing else."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lib import data_dir
from lib.steps import ROOT, Stop


@pytest.fixture(autouse=True)
def built_in_database(monkeypatch):
    monkeypatch.delenv("DATABASE_URL", raising=False)


@pytest.fixture
def folder(tmp_path) -> Path:
    """A folder that bin/start made, with something in it."""
    made = tmp_path / "data"
    os.close(data_dir.prepare(made))
    (made / "files").mkdir()
    (made / "files" / "photo").write_text("photo")
    return made


def test_our_own_folder_is_emptied(folder):
    data_dir.empty(folder)
    assert list(folder.iterdir()) == []


def test_a_link_in_it_is_deleted_and_not_followed(folder, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter").write_text("dear")
    (folder / "link").symlink_to(tmp_path / "mine")
    data_dir.empty(folder)
    assert (tmp_path / "mine" / "letter").exists()


def test_a_folder_that_held_other_files_is_left_alone(tmp_path):
    (tmp_path / "letter").write_text("dear")
    os.close(data_dir.prepare(tmp_path))
    with pytest.raises(Stop, match="held other files before"):
        data_dir.empty(tmp_path)
    assert (tmp_path / "letter").exists()


@pytest.mark.parametrize("place", [Path.home(), ROOT, ROOT.parent, Path("/")])
def test_a_folder_that_holds_more_than_data_is_refused(place):
    with pytest.raises(Stop, match="never deletes"):
        data_dir.empty(place)


def test_a_folder_in_use_is_refused(folder):
    held = data_dir.prepare(folder)
    try:
        with pytest.raises(Stop, match="another bin/start"):
            data_dir.empty(folder)
    finally:
        os.close(held)
    assert (folder / "files" / "photo").exists()


def test_a_database_elsewhere_is_not_emptied_by_half(folder, monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgresql:///studio")
    with pytest.raises(Stop, match="DATABASE_URL names another"):
        data_dir.empty(folder)
    assert (folder / "files" / "photo").exists()


def test_a_file_in_the_place_of_the_folder_is_named(tmp_path):
    (tmp_path / "data").write_text("")
    with pytest.raises(Stop, match="not a folder"):
        data_dir.prepare(tmp_path / "data")


def test_a_relative_place_is_where_the_person_stands(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DATA_DIR", "mine")
    assert data_dir.place() == (tmp_path / "mine").resolve()
