"""A connection cut in mid-upload, by a real socket, against the program as it is served: nothing half is kept,
the server goes on, and the same sent again, twice, is kept once. And uploads that never end."""

from __future__ import annotations

import io
import json
import signal
import socket
import subprocess
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import uvicorn
import xlsxwriter

from tests.attack.conftest import ROUNDS
from tests.cli.test_serve import serving
from tests.desk.pictures import as_jpeg, pattern
from tests.web.plant import Job, begin, fill
from tests.web.test_paper_page import ASKED
from whitemetal.desk import Desk, Writer
from whitemetal.desk.job_file import bring, job_file
from whitemetal.desk.run_in import begin_run
from whitemetal.web import arriving
from whitemetal.web.app import make_app

HAND = Writer("Ida Invented", "a" * 26)
LOG = "time;white metal [degC]\n" + "".join(
    f"03.02.2026 {minute // 60:02}:{minute % 60:02}:00;21,5\n" for minute in range(1440)
)
PAPER = "date;as left\n" + "".join(f"{1980 + year}-04-02;0.2{year:02}\n" for year in range(40))
EDGE = "cut-here-cut-here"


@dataclass(frozen=True)
class Upload:
    """What is sent: to which address, of which type, the bytes; and how many entries it makes."""

    to: str
    type: str
    body: bytes
    entries: int

    def head(self, length: int) -> bytes:
        """The lines of the request, with this length announced."""
        lines = [
            f"POST {self.to} HTTP/1.1", "Host: 127.0.0.1", f"Content-Type: {self.type}",
            f"Content-Length: {length}", "Accept: application/json", "Idempotency-Key: abcdefghij234567",
            f"Cookie: whitemetal_name=Ada%20Invented; whitemetal_device={'d' * 26}", "Connection: close", "",
        ]  # fmt: skip
        return "".join(f"{line}\r\n" for line in lines).encode()


def a_file(field: str, name: str, type: str, content: bytes, **more: str) -> tuple[str, bytes]:
    """A form with one file: its type and its bytes (RFC 7578)."""
    parts = [
        f'--{EDGE}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{text}\r\n'
        for key, text in more.items()
    ]
    parts.append(
        f'--{EDGE}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n'
        f"Content-Type: {type}\r\n\r\n"
    )
    return f"multipart/form-data; boundary={EDGE}", "".join(
        parts
    ).encode() + content + f"\r\n--{EDGE}--\r\n".encode()


def a_photograph(desk: Desk, job: Job, beside: Path) -> Upload:
    """1.5 MB: larger than what is kept in memory while it arrives."""
    type, body = a_file("photograph", "cap.jpg", "image/jpeg", as_jpeg(pattern(700, 500)) + b"\0" * 1_500_000)
    return Upload(f"/jobs/{job.job}/photographs", type, body, 1)


def a_log(desk: Desk, job: Job, beside: Path) -> Upload:
    begun = begin_run(desk, job.job, "coupled", "2026-02-03T00:00:00Z", "21 degC", HAND).entry
    assert begun is not None
    body = json.dumps(
        {"run": begun.body["run"], "file": "logger 4.csv", "text": LOG, "seen": [], "name": "Ada"}
    )
    return Upload(f"/api/1/jobs/{job.job}/run-in/logs", "application/json", body.encode(), 1)


def old_paper(desk: Desk, job: Job, beside: Path) -> Upload:
    body = json.dumps({"table": PAPER, **ASKED, "seen": [], "name": "Ada"})
    return Upload(f"/api/1/bearings/{job.bearing}/paper", "application/json", body.encode(), 40)


def a_workbook(desk: Desk, job: Job, beside: Path) -> Upload:
    """Looked at only: it becomes a table that a person then keeps."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet()
    for number, line in enumerate(PAPER.splitlines()):
        sheet.write_row(number, 0, line.split(";"))
    book.close()
    type, body = a_file("file", "old.xlsx", "application/octet-stream", out.getvalue(), **ASKED)
    return Upload(f"/bearings/{job.bearing}/paper/table", type, body, 0)


def another_plants_job(desk: Desk, job: Job, beside: Path) -> Upload:
    """As many entries as it makes where it is brought in once, by nobody's network."""
    other = Desk.open(str(beside / "other.sqlite3"))
    made = begin(other, Writer("Bo Invented", "b" * 26), number="T-9")
    fill(other, made, HAND)
    data = job_file(other, made.job)
    other.close()
    once = Desk.open(str(beside / "once.sqlite3"))
    begin(once, HAND)
    before = once.walk().entries
    bring(once, data, HAND)
    entries = once.walk().entries - before
    once.close()
    return Upload("/api/1/bring", "application/zip", data, entries)


@dataclass(frozen=True)
class Served:
    """The program, serving. desk: opened beside it. aside: where it puts what does not fit into memory."""

    running: subprocess.Popen[str]
    at: str
    desk: Desk
    aside: Path


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("cut")
    aside = folder / "arriving"
    aside.mkdir()
    desk = Desk.open(str(folder / "plant.file"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TMPDIR", str(aside))
        with serving("--database", folder / "plant.file", "--port", "0") as (running, at, _):
            yield Served(running, at, desk, aside)
    desk.close()


UPLOADS: dict[str, Callable[[Desk, Job, Path], Upload]] = {
    "photograph": a_photograph, "logger's file": a_log, "old paper": old_paper, "workbook": a_workbook,
    "job's file": another_plants_job,
}  # fmt: skip


def send(at: str, upload: Upload, share: float, *, reset: bool = False) -> int:
    """Send this share of a request, and cut the connection when it is not the whole; the status answered.
    reset: cut it so that the other end is told of it as of an error."""
    there = urlsplit(at)
    assert there.hostname is not None and there.port is not None
    with socket.create_connection((there.hostname, there.port), timeout=60) as line:
        line.sendall(upload.head(len(upload.body)) + upload.body[: int(share * len(upload.body))])
        if share < 1:
            if reset:
                line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
            return 0
        answer = b""
        while part := line.recv(65536):
            answer += part
    return int(answer.split(b" ", 2)[1])


def kept(desk: Desk) -> tuple[int, int]:
    """How many entries and files there are."""
    return desk.walk().entries, len(list(desk.files.all()))


@pytest.mark.parametrize("what", UPLOADS)
def test_nothing_half_is_kept_and_the_same_again_is_kept_once(
    what: str, served: Served, tmp_path: Path
) -> None:
    desk, at = served.desk, served.at
    upload = UPLOADS[what](desk, begin(desk, HAND), tmp_path)
    before = kept(desk)
    shares = [0.0, 0.5, 0.999, *(number / (ROUNDS + 1) for number in range(1, ROUNDS))]
    for share in shares:
        send(at, upload, share)
        send(at, upload, share, reset=True)
    with urllib.request.urlopen(at, timeout=20) as page:
        assert page.status == 200
    assert kept(desk) == before
    assert {send(at, upload, 1) for _ in range(2)} <= {200, 201, 303}
    entries, files = kept(desk)
    assert (entries - before[0], files - before[1]) == (upload.entries, int(what == "photograph"))


def test_no_word_of_what_was_cut_off_nor_anything_of_it_is_left(served: Served) -> None:
    """Cut once more, in the middle; then the server is stopped, and what it said and left behind is looked at."""
    job = begin(served.desk, HAND)
    send(served.at, a_photograph(served.desk, job, served.aside), 0.5)
    send(served.at, a_photograph(served.desk, job, served.aside), 0.5, reset=True)
    served.running.send_signal(signal.SIGTERM)
    assert served.running.wait(20) == 0 and served.running.stderr is not None
    assert served.running.stderr.read() == "Stopped.\n"
    assert served.desk.verify() == () and list(served.aside.iterdir()) == []


# ---- uploads that never end


@contextmanager
def impatient(desk: Desk, monkeypatch: pytest.MonkeyPatch, window: float) -> Iterator[str]:
    """The pages, served as the program serves them, by somebody who waits for less long; their address."""
    monkeypatch.setattr(arriving, "WINDOW", window)
    listener = socket.create_server(("127.0.0.1", 0), backlog=300)
    config = uvicorn.Config(
        make_app(desk), http=arriving.Patient, log_level="error", ws="none", lifespan="off"
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{listener.getsockname()[1]}/"
    server.should_exit = True
    thread.join(20)
    listener.close()


def is_closed(line: socket.socket) -> bool:
    """Whether the other end let go, or does within half a minute."""
    line.settimeout(30)
    try:
        while line.recv(4096):
            pass
        return True
    except ConnectionError:
        return True
    except TimeoutError:
        return False


def test_who_sends_a_byte_now_and_then_is_let_go_of_and_nobody_else_waits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk.open(str(tmp_path / "plant.file"))
    job = begin(desk, HAND)
    upload = a_photograph(desk, job, tmp_path)
    before = kept(desk)
    with impatient(desk, monkeypatch, 2.0) as at, ExitStack() as held:
        there = (str(urlsplit(at).hostname), int(urlsplit(at).port or 0))
        lines = [held.enter_context(socket.create_connection(there, timeout=10)) for _ in range(200)]
        for number, line in enumerate(lines):
            line.sendall(upload.head(len(upload.body))[: 20 if number % 2 else None])
        began = time.monotonic()
        for number in range(3):
            with urllib.request.urlopen(at, timeout=10) as page:
                assert page.status == 200
            if number:
                for line in lines[:50]:
                    with suppress(ConnectionError):
                        line.sendall(b"-")
        assert time.monotonic() - began < 3
        assert [is_closed(line) for line in lines] == [True] * 200
        assert kept(desk) == before
        slow = socket.create_connection(there, timeout=10)
        slow.sendall(upload.head(len(upload.body)))
        for start in range(0, len(upload.body), len(upload.body) // 8):
            slow.sendall(upload.body[start : start + len(upload.body) // 8])
            time.sleep(0.3)
        assert slow.recv(12) == b"HTTP/1.1 303"
        slow.close()
    assert kept(desk) == (before[0] + 1, before[1] + 1)
    desk.close()


def test_more_than_is_taken_is_refused_while_it_comes_whatever_was_announced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arriving, "LARGEST_JSON", 300_000)
    desk = Desk.open(str(tmp_path / "plant.file"))
    job = begin(desk, HAND)
    before = kept(desk)
    with impatient(desk, monkeypatch, 30.0) as at:
        there = (str(urlsplit(at).hostname), int(urlsplit(at).port or 0))
        with socket.create_connection(there, timeout=10) as line:
            head = Upload(f"/api/1/jobs/{job.job}/notes", "application/json", b"", 0).head(0)
            line.sendall(head.replace(b"Content-Length: 0", b"Transfer-Encoding: chunked"))
            sent = 0
            with suppress(ConnectionError):
                for sent in range(4000):  # noqa: B007
                    line.sendall(b"1000\r\n" + b"[" * 4096 + b"\r\n")
            assert 70 < sent < 3999, "it stops reading some time after the 300,000th byte"
    assert kept(desk) == before
    desk.close()
