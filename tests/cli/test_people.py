"""people and verify FILE: accounts at a terminal, and an exported file checked without the record."""

from __future__ import annotations

import json
import re
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.cli.test_serve import serving
from tests.web.plant import begin
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.job.entry import content
from whitemetal.people import passwords

PASSWORD = "four brass feeler gauges"
CODE = re.compile(r"(?:[a-z2-7]{8}-){3}[a-z2-7]{8}")


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


def code_in(text: str) -> str:
    found = CODE.search(text)
    assert found is not None, text
    return found.group(0)


def test_accounts_are_kept_at_the_terminal(command: Command, tmp_path: Path) -> None:
    record = tmp_path / "plant.file"
    where = ("--database", record)
    for words in (("list",), ("add", "Bo Invented", "--role", "fit"), ("history",), ("close", "Bo Invented")):
        answer = command("people", *words, *where)
        assert (answer.status, "a record that exists" in answer.err, record.exists()) == (2, True, False), (
            words
        )
    first = code_in(command("people", "first", *where).out)
    assert "There are no accounts" in command("people", "list", *where).out
    desk = Desk.open(str(record))
    people.open_first(desk, "Kit Keeper", PASSWORD, first, "k" * 26)
    assert "is there" in command("people", "first", *where).out
    code = code_in(command("people", "add", "Bo Invented", "--role", "fit", "--role", "check", *where).out)
    assert "Bo Invented: fit check, has not chosen" in command("people", "list", *where).out
    bo = people.join(desk, "bo invented", code, PASSWORD, "b" * 26)
    signing_in.sign_in(desk, "Bo Invented", PASSWORD, device="b" * 26)
    assert "Devices signed out: 1." in command("people", "sign-out", "Bo Invented", *where).out
    assert "Bo Invented: look" in command("people", "roles", "Bo Invented", "--role", "look", *where).out
    assert f"{bo.key.public} Bo Invented\n" in command("people", "keys", *where).out
    assert code_in(command("people", "code", "Bo Invented", *where).out) != code
    assert "Bo Invented: look, closed" in command("people", "close", "Bo Invented", *where).out
    history = command("people", "history", "Bo Invented", *where).out
    assert history.index("account opened") < history.index("signed in") < history.index("account closed")
    assert desk.verify() == ()
    desk.close()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add",), "NAME"), (("add", "Bo", "--role", "king"), "look, fit, check"), (("add", "Bo"), "look, fit"),
        (("close", "Nobody"), "has an account here"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_said(
    command: Command, tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    Desk.open(str(tmp_path / "plant.file")).close()
    answer = command("people", *words, "--database", tmp_path / "plant.file")
    assert answer.status == 2
    assert said in answer.err


def test_an_exported_file_is_verified_alone(command: Command, tmp_path: Path) -> None:
    desk = Desk.open(str(tmp_path / "plant.file"))
    ada = people.open_first(desk, "Ada Invented", PASSWORD, people.first_code(desk), "c" * 26)
    job = begin(desk, Writer("Bo Invented", "b" * 26)).job
    state = desk.job(job).state
    writer = Writer(ada.name, "c" * 26, 0, state.heads, ada.id)
    body = signing_in.sealer(desk, job, writer, PASSWORD)("signed/1", {"part": "did", "state": state.digest})
    desk.write(job, "signed/1", body, writer)
    entries = [{**content(entry), "digest": entry.digest} for entry in desk.entries(job)]
    desk.close()
    file, keys = tmp_path / "job.json", tmp_path / "keys"
    file.write_text(json.dumps({"entries": entries}), encoding="utf-8")
    keys.write_text(command("people", "keys", "--database", tmp_path / "plant.file").out, encoding="utf-8")
    (tmp_path / "plant.file").unlink()
    answer = command("verify", file, "--keys", keys)
    assert (answer.status, answer.err) == (0, "")
    assert "Ada Invented (signed/1, key" in answer.out
    assert "known for Ada Invented): signature good, over exactly the entries before it" in answer.out
    assert f"Whole: {len(entries)} entries of 1 books in 2 chains, 1 signatures good." in answer.out
    entries[1]["body"]["purpose"] = "as found"
    file.write_text(json.dumps({"entries": entries}), encoding="utf-8")
    answer = command("verify", file)
    assert answer.status == 1
    assert f"Entry {entries[1]['seq']} of device {'b' * 26} ({entries[1]['id']}) was altered" in answer.out
    file.write_text("{}", encoding="utf-8")
    assert command("verify", file).status == 2


def test_where_accounts_are_demanded_the_program_says_the_first_code(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite3"
    with serving("--database", record, "--accounts", "--port", "0") as (_, address, before):
        code = code_in("".join(before))
        with urllib.request.urlopen(address, timeout=10) as page:
            assert page.url == f"{address}people/first"
            assert page.headers["server"] is None
        with pytest.raises(urllib.error.HTTPError, match="401"):
            urllib.request.urlopen(f"{address}api/1/plant", timeout=10)
    desk = Desk.open(str(record))
    assert people.open_first(desk, "Kit Keeper", PASSWORD, code, "k" * 26).name == "Kit Keeper"
    desk.close()
    with serving("--database", record, "--port", "0") as (_, address, before):
        assert CODE.search("".join(before)) is None
        with urllib.request.urlopen(address, timeout=10) as page:
            assert page.url == f"{address}sign-in?back=/", "an account shuts it on this machine too"


def test_on_another_address_accounts_are_demanded(tmp_path: Path) -> None:
    with serving("--database", tmp_path / "r.sqlite3", "--host", "0.0.0.0", "--port", "0") as (
        _,
        address,
        before,
    ):
        said = "".join(before)
        assert "Passwords cross this network readable" in said
        assert CODE.search(said)
        assert "0.0.0.0" not in address + said, "a phone can open what is said"
        with urllib.request.urlopen(f"http://127.0.0.1:{address.rpartition(':')[2]}", timeout=10) as page:
            assert page.url.endswith("/people/first")
