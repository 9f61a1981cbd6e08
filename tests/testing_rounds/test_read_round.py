"""`manage.py read_round`, as a shell sees it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from testing_rounds.reading import METHODS, read
from testing_rounds.reading_table import as_table
from tests.testing_rounds.rounds import EXAMPLE, example

ROOT = Path(__file__).resolve().parents[2]


def run(*words: str, given: bytes = b"") -> tuple[int, str, str]:
    """The exit code and what was printed on either side."""
    command = [sys.executable, "manage.py", "read_round", *words]
    done = subprocess.run(command, input=given, capture_output=True, cwd=ROOT, check=False)
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def readings() -> list[dict]:
    return json.loads(json.dumps([reading.as_dict() for reading in read(example())]))


def test_a_table():
    assert run(str(EXAMPLE)) == (0, as_table(example(), read(example())), "")


def test_json_alone_from_standard_input():
    code, out, err = run("--json", "-", given=EXAMPLE.read_bytes())
    assert (code, json.loads(out), err) == (0, readings(), "")


def test_many_rounds_in_one_process():
    line = json.dumps(json.loads(EXAMPLE.read_text())).encode() + b"\n"
    code, out, err = run("--lines", given=line + b"\n" + line)
    assert (code, [json.loads(row) for row in out.splitlines()], err) == (0, [readings(), readings()], "")


def test_a_broken_line_is_named_in_its_place():
    line = json.dumps(json.loads(EXAMPLE.read_text())).encode() + b"\n"
    code, out, err = run("--lines", given=line + line.replace(b'"unit": "cm"', b'"unit": "in"') + line)
    assert code == 2
    assert [json.loads(row) for row in out.splitlines()] == [
        readings(),
        {"error": 'line 2: unit is "in"; it must be "cm"'},
        readings(),
    ]
    assert err.endswith('1 of 3 rounds cannot be read; line 2: unit is "in"; it must be "cm"\n')


def test_what_cannot_be_read_is_one_sentence_and_code_2():
    code, out, err = run("-", given=b"{")
    assert (code, out) == (2, "")
    assert err.removeprefix("CommandError: ") == (
        "the file is not JSON: expecting property name enclosed in double quotes at line 1, column 2\n"
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["nowhere.json"], "nowhere.json cannot be read: No such file or directory"),
        (["/"], "/ cannot be read: Is a directory"),
        ([str(EXAMPLE), "--method", "guess"], "'guess' is no method of reading; the methods are " + ", ".join(METHODS)),
        (
            [str(EXAMPLE), "--stage", "muslin"],
            "the file has no report of the stage muslin; its stages are toile, finished",
        ),
    ],
)
def test_each_slip_has_its_sentence(words, sentence):
    with pytest.raises(CommandError) as caught:
        call_command("read_round", *words)
    assert (str(caught.value), caught.value.returncode) == (sentence, 2)
