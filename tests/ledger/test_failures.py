"""When the record cannot be written: a clear message, what was typed handed back, nothing lost."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from tests.ledger.writing import ANN, BO, CARD, a_desk, a_job
from tests.records import Raw
from whitemetal.desk import Desk
from whitemetal.errors import CannotWrite, LedgerError, NewerDatabase, UnknownBook
from whitemetal.ledger.connect import PROMISES, promise
from whitemetal.ledger.trouble import in_words

ROOT = Path(__file__).parents[2]
NOBODY = ("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite3"


@pytest.fixture
def desk(path: Path) -> Iterator[Desk]:
    opened = a_desk(path, wait=0.05)
    yield opened
    opened.close()


def pragma(desk: Desk, statement: str) -> Any:
    with desk._ledger.engine.connect() as connection:
        return connection.exec_driver_sql(f"PRAGMA {statement}").scalar()


@pytest.mark.sqlite_only
def test_a_full_disk_hands_the_typed_text_back_and_loses_nothing(desk: Desk) -> None:
    job, check = a_job(desk)
    kept: list[str] = []
    pragma(desk, f"max_page_count = {pragma(desk, 'page_count') + 8}")

    def fill() -> None:
        for number in range(1000):
            entry = desk.keep_reading(
                job, check, "DE top", f"0.{200 + number} mm", ANN, repeat=number > 0
            ).entry
            assert entry is not None
            kept.append(entry.id)

    with pytest.raises(CannotWrite, match="disk is full") as failed:
        fill()
    text = f"0.{200 + len(kept)} mm"
    assert failed.value.typed == text
    assert text in str(failed.value)
    assert len(kept) > 3
    state = desk.job(job).state
    assert [reading.entry for reading in state.checks[check].readings] == kept
    assert desk.verify() == ()
    pragma(desk, "max_page_count = 1000000")
    again = desk.keep_reading(job, check, "DE top", failed.value.typed, ANN, repeat=True).entry
    assert again is not None
    assert len(desk.job(job).state.checks[check].readings) == len(kept) + 1
    assert desk.verify() == ()


@pytest.mark.sqlite_only
def test_a_disk_that_refuses_says_so(path: Path, desk: Desk) -> None:
    """A limit on the size of files makes the operating system refuse the write itself."""
    job, _ = a_job(desk)
    seen = child(
        f"""
        import resource, signal
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        desk = Desk.open({str(path)!r})
        desk.job({job!r})
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
        attempt(lambda: desk.keep_note({job!r}, "oil dark", ANN))
        """
    )
    assert seen[0] == "CannotWrite"
    assert "nothing was written" in seen[1].lower()
    assert seen[2] == "oil dark"
    assert desk.verify() == ()
    assert desk.job(job).state.notes == ()


def child(program: str, *, as_nobody: bool = False) -> list[str]:
    """Run a program of its own; as a user who owns nothing, when asked and when we are root.

    Returns what its last ``attempt`` met: the error's class, its message, what it handed back.
    """
    head = """
        import json
        from whitemetal.desk import Desk, Writer
        from whitemetal.errors import LedgerError
        ANN = Writer("Ann Dale", "phone")
        def attempt(act):
            try:
                done = act()
                print(json.dumps(["", str(done), ""]))
            except LedgerError as error:
                print(json.dumps([type(error).__name__, str(error), error.typed]))
        """
    whole = textwrap.dedent(head) + textwrap.dedent(program)
    drop = NOBODY if as_nobody and not os.geteuid() else ()
    command = [*drop, sys.executable, "-c", whole]
    done = subprocess.run(
        command, cwd="/", env={"PYTHONPATH": str(ROOT / "src"), "PATH": os.environ["PATH"], "HOME": "/"},
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    answer: list[str] = json.loads(done.stdout.strip().splitlines()[-1])
    return answer


def _nobody_runs_python() -> bool:
    """Whether there is setpriv to become somebody else, who may read this Python's own files."""
    if shutil.which(NOBODY[0]) is None:
        return False
    return (
        subprocess.run([*NOBODY, sys.executable, "-c", ""], capture_output=True, check=False).returncode == 0
    )


@pytest.fixture
def closed_folder() -> Iterator[Path]:
    """A folder with a record in it that others may read but not write."""
    if not os.geteuid() and not _nobody_runs_python():
        pytest.skip("root may write anywhere, and nobody else can run this Python here")
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def shut(folder: Path) -> None:
    for file in folder.iterdir():
        file.chmod(0o444)
    folder.chmod(0o555)


@pytest.mark.sqlite_only
def test_a_read_only_folder_reads_and_refuses_to_write(closed_folder: Path) -> None:
    path = closed_folder / "record.sqlite3"
    desk = a_desk(path)
    job, check = a_job(desk)
    desk.keep_reading(job, check, "DE top", "0.212 mm", ANN)
    desk.close()
    shut(closed_folder)
    seen = child(
        f"""
        desk = Desk.open({str(path)!r})
        assert not desk.writable
        assert [r.text for r in desk.job({job!r}).state.checks[{check!r}].readings] == ["0.212 mm"]
        assert len(desk.plant()) == 1 and desk.verify() == ()
        attempt(lambda: desk.keep_reading({job!r}, {check!r}, "OE top", "0.214 mm", ANN))
        """,
        as_nobody=True,
    )
    assert seen[0] == "CannotWrite"
    assert "read-only" in seen[1]
    assert seen[2] == "0.214 mm"


@pytest.mark.sqlite_only
def test_a_read_only_record_left_by_a_killed_writer_says_where_its_last_entries_are(
    closed_folder: Path,
) -> None:
    """The last entries are in the write-ahead log; passing over it would show an older job."""
    path = closed_folder / "record.sqlite3"
    desk = a_desk(path)
    job, check = a_job(desk)
    desk.keep_reading(job, check, "DE top", "0.212 mm", ANN)
    copied = closed_folder / "copied.sqlite3"
    for end in ("", "-wal"):
        shutil.copy(f"{path}{end}", f"{copied}{end}")
    desk.close()
    assert Path(f"{copied}-wal").stat().st_size > 0
    shut(closed_folder)
    program = f"""
        def count():
            desk = Desk.open({str(copied)!r})
            return len(desk.job({job!r}).state.checks[{check!r}].readings)
        attempt(count)
        """
    seen = child(program, as_nobody=True)
    assert seen[0] == "CannotWrite"
    assert "still in the log beside it (copied.sqlite3-wal)" in seen[1]
    closed_folder.chmod(0o755)
    opened = a_desk(copied)
    assert len(opened.job(job).state.checks[check].readings) == 1
    opened.close()


@pytest.mark.sqlite_only
def test_a_folder_in_which_nothing_can_be_made_says_so(closed_folder: Path) -> None:
    shut(closed_folder)
    for name in ("new.sqlite3", "deeper/new.sqlite3"):
        seen = child(f"attempt(lambda: Desk.open({str(closed_folder / name)!r}))", as_nobody=True)
        assert seen[0] == "CannotWrite"
        assert "read-only" in seen[1] or "cannot be made" in seen[1]


def test_a_record_of_a_newer_program_is_left_alone(path: Path, desk: Desk) -> None:
    a_job(desk)
    desk.close()
    raw = Raw(path)
    raw.execute("UPDATE alembic_version SET version_num = '0099'")
    before = raw.rows("SELECT * FROM entry ORDER BY receipt")
    for _ in range(2):
        with pytest.raises(NewerDatabase, match=r"newer version of the program \(tables 0099\)"):
            Desk.open(str(path))
    assert raw.rows("SELECT * FROM entry ORDER BY receipt") == before
    assert raw.rows("SELECT version_num FROM alembic_version") == [("0099",)]
    raw.close()


def test_another_writer_is_waited_for_and_then_named(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    other = Raw(path)
    other.hold()
    with pytest.raises(CannotWrite, match="Another program") as failed:
        desk.keep_reading(job, check, "DE top", "0.212 mm", ANN)
    assert failed.value.typed == "0.212 mm"
    assert desk.job(job).state.checks[check].readings == ()
    other.execute("ROLLBACK")
    other.close()
    assert desk.keep_reading(job, check, "DE top", failed.value.typed, ANN).problem is None


def test_every_verb_hands_back_what_was_typed(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    note = desk.keep_note(job, "x", ANN).entry
    assert note is not None
    other = Raw(path)
    other.hold()
    acts: dict[str, Callable[[], object]] = {
        "210 N m": lambda: desk.keep_fact(job, check, "torque", "210 N m", ANN),
        "slipped": lambda: desk.strike(job, note.id, "slipped", ANN),
        "0.02 mm off": lambda: desk.change_fit(job, "scraping", "upper", "", "0.02 mm off", ANN),
        "gloves on": lambda: desk.set_hold(job, "lead", "closed", "gloves on", ANN, check=check),
        "revision D": lambda: desk.adopt_card(job, "d" * 64, "revision D", ANN),
        "maker says": lambda: desk.choose_rule(job, check, "simple acceptance", "maker says", ANN),
        "oil dark": lambda: desk.keep_note(job, "oil dark", ANN),
        "as found": lambda: desk.start_check(job, "wire", "as found", ANN),
        "ball, 4 um": lambda: desk.keep_instrument("M7", {"anvil": "ball", "mpe": "4 um"}, ANN),
        CARD + "#": lambda: desk.keep_card(CARD + "#", ANN),
        "J-2 opening": lambda: desk.open_job("b", "J-2", "opening", ANN),
    }
    for typed, act in acts.items():
        with pytest.raises(CannotWrite) as failed:
            act()
        assert failed.value.typed == typed
    other.execute("ROLLBACK")
    other.close()


@pytest.mark.sqlite_only
@pytest.mark.parametrize("content", [b"not a database at all, but long enough to be asked" * 40, b"x"])
def test_a_file_that_is_no_record_is_left_alone(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(LedgerError, match="damaged or not a record"):
        Desk.open(str(path))
    assert path.read_bytes() == content


def test_a_database_of_another_program_is_left_alone(path: Path) -> None:
    raw = Raw(path, like="template1")
    raw.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(LedgerError, match="belongs to another program"):
        Desk.open(str(path))
    assert raw.tables() == ["recipe"]
    raw.close()


@pytest.mark.sqlite_only
def test_a_folder_or_memory_is_no_record(tmp_path: Path) -> None:
    with pytest.raises(LedgerError):
        Desk.open(str(tmp_path))
    with pytest.raises(LedgerError, match="needs a file"):
        Desk.open("sqlite+pysqlite:///:memory:")


@pytest.mark.sqlite_only
def test_missing_folders_are_made(tmp_path: Path) -> None:
    desk = a_desk(tmp_path / "a" / "b" / "record.sqlite3")
    assert desk.plant() == ()
    desk.close()


def test_a_damaged_entry_is_said_and_the_rest_can_be_rebuilt(path: Path, desk: Desk) -> None:
    job, _ = a_job(desk)
    desk.close()
    raw = Raw(path)
    raw.unlock()
    raw.execute("UPDATE entry SET content = '{' WHERE book = ? AND seq = 2", (job,))
    raw.close()
    again = a_desk(path)
    with pytest.raises(LedgerError, match="verify names it"):
        again.job(job)
    again.rebuild()
    assert [fault.seq for fault in again.verify()] == [2]
    again.close()


def test_unknown_books_say_so(desk: Desk) -> None:
    job, _ = a_job(desk)
    acts: tuple[Callable[[], object], ...] = (
        lambda: desk.job("x"), lambda: desk.bearing("x"), lambda: desk.card("x"),
        lambda: desk.keep_note("x", "t", ANN), lambda: desk.judgement(job, "x"),
        lambda: desk.open_job("x", "J", "t", BO),
    )  # fmt: skip
    for act in acts:
        with pytest.raises(UnknownBook):
            act()
    assert desk.entries("x") == ()


# ---- what every connection promises


@pytest.mark.sqlite_only
def test_every_connection_keeps_its_promises(desk: Desk) -> None:
    """Several at once, so that the pool must make new ones."""
    opened = [desk._ledger.engine.connect() for _ in range(4)]
    for connection in opened:
        answers = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in PROMISES}
        assert answers == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
    for connection in opened:
        connection.close()


class Refusing:
    """A driver's connection that says yes and does not do it."""

    def cursor(self) -> Refusing:
        return self

    def execute(self, statement: str) -> Refusing:
        return self

    def fetchone(self) -> tuple[object]:
        return ("delete",)

    def close(self) -> None: ...


@pytest.mark.sqlite_only
def test_a_connection_that_does_not_keep_its_promise_is_not_used() -> None:
    with pytest.raises(LedgerError, match="does not keep its promise: journal_mode is delete"):
        promise(Refusing())


@pytest.mark.sqlite_only
def test_a_write_begins_at_once_and_a_reading_does_not_wait(path: Path, desk: Desk) -> None:
    job, _ = a_job(desk)
    other = sqlite3.connect(path, isolation_level=None, timeout=0.01)
    with desk._ledger.writing() as pen:
        assert pen.entry("x") is None
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        assert desk.job(job).state.number == "J-1"
    with desk._ledger.reading() as connection:
        connection.execute(text("SELECT count(*) FROM entry")).scalar()
        other.execute("BEGIN IMMEDIATE")
        other.execute("ROLLBACK")
    other.close()


def test_foreign_keys_are_kept(desk: Desk) -> None:
    a_job(desk)
    with pytest.raises(LedgerError), desk._ledger.writing() as pen:
        pen.connection.exec_driver_sql("INSERT INTO sight VALUES (9999, '{}')")


def test_an_unknown_trouble_is_still_said_in_words() -> None:
    said = in_words(ValueError("odd"), "0.2 mm")
    assert (type(said), said.typed) == (LedgerError, "0.2 mm")
    assert "odd" in str(said)


@pytest.mark.parametrize("url", ["nope://here/plant", "postgresql+nodriver://here/plant"])
def test_a_database_without_a_driver_is_said_in_words(url: str) -> None:
    with pytest.raises(LedgerError, match="no driver"):
        Desk.open(url)
