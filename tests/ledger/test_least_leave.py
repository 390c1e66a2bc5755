"""An account of the database that may do no more than the program needs, as docs/plant.md says how to make it: it
cannot change or take away what was kept, nor what keeps it so."""

from __future__ import annotations

from pathlib import Path

import psycopg
import pytest

from tests.desk.pictures import as_jpeg, pattern
from tests.web.plant import begin, fill
from tools.start_postgres import Server
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.desk.photographs import keep_photograph
from whitemetal.people import passwords

pytestmark = pytest.mark.postgres
ANN = Writer("Ida Invented", "a" * 26)
PASSWORD = "four brass feeler gauges"
DOCS = Path(__file__).parents[2] / "docs" / "plant.md"


def as_written() -> list[str]:
    """The statements of the page, in their order."""
    lines = [line.strip().removesuffix(";") for line in DOCS.read_text(encoding="utf-8").splitlines()]
    start = lines.index("CREATE ROLE bench LOGIN PASSWORD '...'")
    return lines[start : start + 4]


def test_the_program_works_with_leave_to_add_alone(postgres: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    name = postgres.fresh("migrated")
    for statement in as_written():
        postgres.run(statement, name)
    where = postgres.address(name).replace("whitemetal@", "bench@")
    desk = Desk.open(where)
    job = begin(desk, ANN)
    fill(desk, job, ANN)
    shot = keep_photograph(desk, job.job, as_jpeg(pattern(300, 200)), ANN)
    assert desk.writable and shot.entry is not None and len(list(desk.files.all())) == 1
    people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26)
    session = signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)
    assert signing_in.by_session(desk, session) is not None
    assert [len(machine.bearings) for machine in desk.plant()] == [1]
    desk.rebuild()
    assert desk.verify() == ()
    refused = (
        "UPDATE entry SET content = '{}'", "DELETE FROM entry", "TRUNCATE entry CASCADE", "DELETE FROM kept_file",
        "UPDATE kept_file SET content = ''", "ALTER TABLE entry DISABLE TRIGGER ALL", "DROP TABLE entry CASCADE",
        "DROP FUNCTION entry_never_changed CASCADE", "SET session_replication_role = replica",
        "UPDATE alembic_version SET version_num = '0001'", "CREATE TABLE other (name text)",
    )  # fmt: skip
    with psycopg.connect(where, autocommit=True) as there:
        for statement in refused:
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                there.execute(statement.encode())
    assert desk.verify() == ()
    desk.close()
    postgres.drop(name)
    postgres.run("DROP ROLE bench")
