"""serve: says its address once it answers, takes the next free port, and closes the record when stopped."""

from __future__ import annotations

import asyncio
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.cli.program import ALONE, alone, environment
from tests.ledger.writing import a_desk, a_job
from whitemetal.__main__ import PORTS_TRIED, SELDOM, listen
from whitemetal.errors import InputError


@contextmanager
def serving(
    *arguments: str | Path, by: tuple[str, ...] = ()
) -> Iterator[tuple[subprocess.Popen[str], str, list[str]]]:
    """The program serving; its address as it said it, and what it said before. by: what starts it."""
    running = subprocess.Popen(
        [*by, *ALONE, "serve", *map(str, arguments)], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env=environment(), text=True,
    )  # fmt: skip
    assert running.stderr is not None and running.stdout is not None
    try:
        before = []
        for line in running.stderr:
            if line.startswith("Ready: "):
                break
            before.append(line)
        else:
            raise AssertionError(f"it never was ready: {before}")
        yield running, line.split()[1], before
    finally:
        running.kill()
        running.wait(10)
        running.stdout.close()
        running.stderr.close()


def free_port() -> int:
    """A port that is free, with a free one after it."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def test_answers_do_not_wait_for_the_other_side_to_acknowledge() -> None:
    """An answer in two parts would else wait some 40 ms, on every page: the event loop switches Nagle's
    algorithm off (RFC 1122, 4.2.3.4) only on sockets that name their protocol."""
    seen: list[int] = []

    async def one_caller() -> None:
        async def answer(_: asyncio.StreamReader, out: asyncio.StreamWriter) -> None:
            seen.append(out.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            out.close()

        with listen("127.0.0.1", 0, print) as listening:
            async with await asyncio.start_server(answer, sock=listening):
                come_in, go_out = await asyncio.open_connection(*listening.getsockname())
                await come_in.read()
                go_out.close()

    asyncio.run(one_caller())
    assert seen == [1]


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_it_answers_where_it_says_and_stops_when_told(tmp_path: Path, stop: signal.Signals) -> None:
    record = tmp_path / "record.sqlite3"
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", free_port()))
        taken.listen()
        port = taken.getsockname()[1]
        with serving("--database", record, "--port", str(port)) as (running, address, before):
            host, _, other = address.removeprefix("http://").strip("/").partition(":")
            assert host == "127.0.0.1"
            assert port < int(other) <= port + PORTS_TRIED
            assert before[0] == f"Port {port} is taken; trying {port + 1} ...\n"
            assert f"Opening the record {record} ...\n" in before
            with urllib.request.urlopen(address, timeout=60) as page:
                assert page.status == 200
                assert b"<html" in page.read()
            running.send_signal(stop)
            assert running.wait(60) == 0
            assert running.stderr is not None and running.stdout is not None
            assert running.stderr.read() == "Stopped.\n"
            assert running.stdout.read() == ""
    assert [each.name for each in tmp_path.iterdir()] == [record.name]


def test_it_says_that_it_stopped_also_where_a_shell_has_it_ignore_interrupts(tmp_path: Path) -> None:
    """A shell without job control has what it starts with ``&`` ignore SIGINT (POSIX, Shell Command Language,
    2.11)."""
    deaf = ("sh", "-c", 'trap "" INT; exec "$@"', "sh")
    with serving("--database", tmp_path / "r.sqlite3", "--port", "0", by=deaf) as (running, _, _):
        running.send_signal(signal.SIGINT)
        assert running.wait(60) == 0
        assert running.stderr is not None
        assert running.stderr.read() == "Stopped.\n"


def test_the_demo_is_made_once(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite3"
    with serving("--database", record, "--demo", "--port", "0") as (_, address, before):
        assert "fan, drive end ...\n" in before
        with urllib.request.urlopen(address, timeout=60) as page:
            assert page.read().count(b"TM-31-F02") > 0
    with serving("--database", record, "--demo", "--port", "0") as (_, address, before):
        assert "fan, drive end ...\n" not in before


def test_the_next_free_port_is_taken_and_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said: list[str] = []
        with listen("127.0.0.1", port, said.append) as other:
            assert port < other.getsockname()[1] <= port + PORTS_TRIED
            assert other.getsockname()[0] == "127.0.0.1"
        assert said[0] == f"Port {port} is taken; trying {port + 1} ..."
        assert len(said) == other_than(port, said)


def other_than(port: int, said: list[str]) -> int:
    """How many ports were passed over, by the last line said."""
    return int(said[-1].rpartition("trying ")[2].split()[0]) - port


def test_no_port_left(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setattr("whitemetal.__main__.PORTS_TRIED", 0)
        with pytest.raises(InputError, match=f"a port that is free; {port} to {port} are taken"):
            listen("127.0.0.1", port, lambda text: None)


@pytest.mark.parametrize(
    ("host", "port", "field"),
    [
        ("127.0.0.1", 65536, "--port"),
        ("127.0.0.1", -1, "--port"),
        ("203.0.113.7", 0, "--host"),
        ("no host", 0, "--host"),
    ],
)
def test_where_nobody_can_listen(host: str, port: int, field: str) -> None:
    with pytest.raises(InputError) as refused:
        listen(host, port, lambda text: None)
    assert refused.value.problems[0].field == field


def test_this_machine_only_unless_told(command: Command, served: list[object]) -> None:
    assert command("serve").status == 0
    assert command("serve", "--host", "0.0.0.0", "--open").status == 0
    first, second = map(vars, served)
    assert (first["host"], first["open"], first["database"]) == ("127.0.0.1", False, "whitemetal.sqlite3")
    assert (second["host"], second["open"]) == ("0.0.0.0", True)


def test_a_record_is_served_for_reading_only(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite3"
    desk = a_desk(record)
    job, _ = a_job(desk)
    desk.close()
    kept = record.read_bytes()
    with serving("--database", record, "--read-only", "--port", "0") as (_, address, before):
        assert "The record can be read here and not written" in before[-1]
        note = urllib.parse.urlencode({"note": "oil dark", "name": "Ann"}).encode()
        asked = urllib.request.Request(f"{address}jobs/{job}/notes", note, {"cookie": "whitemetal_name=Ann"})
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(asked, timeout=60)
        assert refused.value.code == 503
        page = refused.value.read().decode()
        assert "oil dark" in page and "opened for reading only" in page
    assert record.read_bytes() == kept


@pytest.mark.parametrize("proxy", ["proxy.example", "*", "127.0.0.1/", "10.0.0.1/8"])
def test_a_proxy_that_is_no_address_is_named(tmp_path: Path, proxy: str) -> None:
    answer = alone("serve", "--database", tmp_path / "x", "--port", "0", "--proxy", proxy)
    assert answer.returncode == 2 and b"--proxy" in answer.stderr and b"10.2.0.0/16" in answer.stderr
    assert not (tmp_path / "x").exists()


def test_a_record_that_cannot_be_opened_is_said(tmp_path: Path) -> None:
    letter = tmp_path / "letter"
    letter.write_text("Dear engineer\n", encoding="utf-8")
    answer = subprocess.run(
        [*ALONE, "serve", "--database", letter, "--port", "0"], capture_output=True, env=environment(),
        timeout=300, check=False, text=True,
    )  # fmt: skip
    assert answer.returncode == 1
    assert "damaged or not a record" in answer.stderr
    assert "Traceback" not in answer.stderr


LOOKED = """
import gc, os, sys
from whitemetal import __main__ as program
program._ready = lambda *_: (print(gc.get_freeze_count(), gc.get_threshold()[2], flush=True), os._exit(0))
sys.argv[1:] = ["serve", "--port", "0", "--database", sys.argv[1]]
program.main()
"""


def test_what_is_loaded_is_not_looked_through_for_garbage_while_people_wait(tmp_path: Path) -> None:
    """A hundred thousand things are loaded, more or less; looked through all at once they hold every answer up."""
    said = subprocess.run(
        [sys.executable, "-c", LOOKED, tmp_path / "a.sqlite3"], capture_output=True, env=environment(),
        timeout=300, check=True, text=True,
    )  # fmt: skip
    left_alone, seldom = map(int, said.stdout.split())
    assert left_alone > 50_000
    assert seldom == SELDOM
