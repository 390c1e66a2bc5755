"""Starts a PostgreSQL server of its own for tests, benches and long runs, and takes it away afterwards.

The server refuses to run as root: it is then started as the user of its package, or as nobody. Its folder is
short (the path of a socket ends at about 107 bytes) and belongs to that user; where memory can be had as a
folder it lives there, so that ``fsync`` stays on, as the program demands, and costs nothing. It listens on
its socket only. When whoever started it dies, it stops too.
"""

from __future__ import annotations

import ctypes
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

USERS = ("postgres", "nobody")
"""Who runs the server when root may not: the user of the system's package, or nobody."""

OWNER = "whitemetal"
SETTINGS = {
    "listen_addresses": "", "max_connections": "60", "shared_buffers": "64MB", "fsync": "on",
    "log_min_messages": "fatal", "checkpoint_timeout": "30min", "max_wal_size": "512MB", "autovacuum": "off",
    "unix_socket_permissions": "0777",
}  # fmt: skip
FOLLOWING = {"hot_standby": "on", "hot_standby_feedback": "on", "wal_retrieve_retry_interval": "100ms"}
"""What a follower has besides. The last: a test need not wait 5 s for a main server that comes back."""
PARENT_DIED = 1
"""PR_SET_PDEATHSIG of Linux."""


def find() -> str | None:
    """Folder with the newest PostgreSQL server's programs, or None. POSTGRES_PROGRAMS names another one."""
    named = os.environ.get("POSTGRES_PROGRAMS")
    if named:
        return named if (Path(named) / "postgres").is_file() else None
    folders = [path for path in Path("/usr/lib/postgresql").glob("*/bin") if path.parent.name.isdigit()]
    folders = [path for path in folders if (path / "postgres").is_file()]
    if folders:
        return str(max(folders, key=lambda path: int(path.parent.name)))
    on_path = shutil.which("postgres")
    return str(Path(on_path).resolve().parent) if on_path and shutil.which("initdb") else None


@dataclass
class Server:
    """A running server. folder: its data and its socket."""

    programs: Path
    folder: Path
    user: pwd.struct_passwd | None
    settings: dict[str, str]
    process: subprocess.Popen[bytes] | None = None
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def address(self, database: str) -> str:
        """The address of a database on it."""
        return f"postgresql://{OWNER}@/{database}?host={self.folder}"

    def start(self) -> None:
        """Start it and wait until it answers. Raises RuntimeError."""
        said = [word for name, value in self.settings.items() for word in ("-c", f"{name}={value}")]
        data, log = self.folder / "data", self.folder / "log"
        with log.open("ab") as out:
            self.process = subprocess.Popen(
                [str(self.programs / "postgres"), "-D", str(data), "-k", str(self.folder), *said],
                stdin=subprocess.DEVNULL, stdout=out, stderr=out, cwd=self.folder, start_new_session=True,
                preexec_fn=_die_with_parent, **_as(self.user),
            )  # fmt: skip
        until = time.monotonic() + 120
        while not self._answers():
            if self.process.poll() is not None or time.monotonic() > until:
                raise RuntimeError("PostgreSQL did not start: " + log.read_text(errors="replace")[-500:])
            time.sleep(0.02)

    def _answers(self) -> bool:
        import psycopg

        try:
            with psycopg.connect(self.address("postgres"), connect_timeout=2):
                return True
        except psycopg.OperationalError:
            return False

    def stop(self, how: signal.Signals = signal.SIGINT) -> None:
        """Stop it: SIGINT cuts every connection and closes in order, SIGQUIT stops in mid-write."""
        if self.process is not None:
            self.process.send_signal(how)
            self.process.wait(timeout=60)
            self.process = None

    def fresh(self, like: str = "template1") -> str:
        """The name of a new database, a copy of ``like``."""
        name = f"record_{next(self.numbers)}"
        self.run(f'CREATE DATABASE "{name}" TEMPLATE "{like}"')
        return name

    def drop(self, name: str) -> None:
        """Take a database away, whoever still uses it."""
        self.run(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')

    def run(self, statement: str, database: str = "postgres") -> None:
        """Run one statement of the server's keeper."""
        import psycopg

        with psycopg.connect(self.address(database), autocommit=True) as connection:
            connection.execute(statement.encode())


def _as(user: pwd.struct_passwd | None) -> dict[str, Any]:
    if user is None:
        return {}
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


def _die_with_parent() -> None:
    ctypes.CDLL(None).prctl(PARENT_DIED, signal.SIGQUIT)


def _user() -> pwd.struct_passwd | None:
    """Who runs the server: we ourselves, or another one when we are root."""
    if os.geteuid():
        return None
    known = {entry.pw_name: entry for entry in pwd.getpwall()}
    return next(known[name] for name in USERS if name in known)


def make(settings: dict[str, str] | None = None, under: Path | None = None) -> Server:
    """A new server, started. under: where its folder is made; memory, or the usual place for such folders,
    when not said. Raises RuntimeError where there is none."""
    programs, user = find(), _user()
    if programs is None:
        raise RuntimeError("there is no PostgreSQL server here")
    memory = Path("/dev/shm")
    where = under or (memory if os.access(memory, os.W_OK) else Path("/tmp"))
    folder = Path(tempfile.mkdtemp(prefix="wm-", dir=where))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    made = Server(Path(programs), folder, user, {**SETTINGS, **(settings or {})})
    _fill(
        made, "initdb", "-U", OWNER, "-A", "trust", "-E", "UTF8", "--locale=C", "--locale-provider=icu",
        "--icu-locale=sv", "--no-sync", "--no-instructions",
    )  # fmt: skip
    made.start()
    return made


def _fill(made: Server, program: str, *said: str) -> None:
    """Fill a server's data folder with one of its programs. Raises RuntimeError."""
    command = [str(made.programs / program), "-D", str(made.folder / "data"), *said]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=made.folder, check=False, **_as(made.user)
    )
    if done.returncode:
        raise RuntimeError(f"{program} did not work: {done.stderr.strip()[-500:]}")


@contextmanager
def a_follower(of: Server) -> Iterator[Server]:
    """A server that follows another one and can be read, for as long as it is needed."""
    folder = Path(tempfile.mkdtemp(prefix="wm-", dir=of.folder.parent))
    if of.user is not None:
        os.chown(folder, of.user.pw_uid, of.user.pw_gid)
    made = Server(of.programs, folder, of.user, {**of.settings, **FOLLOWING})
    try:
        _fill(made, "pg_basebackup", "-h", str(of.folder), "-U", OWNER, "-R", "-X", "stream",
              "--checkpoint=fast", "--no-sync")  # fmt: skip
        made.start()
        yield made
    finally:
        take_away(made)


def take_away(server: Server) -> None:
    """Stop a server and remove its folder."""
    try:
        server.stop()
    finally:
        shutil.rmtree(server.folder, ignore_errors=True)


@contextmanager
def a_server(settings: dict[str, str] | None = None, under: Path | None = None) -> Iterator[Server]:
    """A server for as long as it is needed."""
    server = make(settings, under)
    try:
        yield server
    finally:
        take_away(server)
