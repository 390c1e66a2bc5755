"""A judgement kept in memory is the one that would be reckoned again, and goes when anything changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.mill import WRITER, make
from whitemetal.desk import Desk


def test_nothing_new_gives_the_same_judgement_without_reckoning(tmp_path: Path) -> None:
    job, check = make(tmp_path / "a.sqlite3")
    desk = Desk.open(str(tmp_path / "a.sqlite3"))
    assert desk.judgement(job, check) is desk.judgement(job, check)
    desk.close()


def test_what_changes_a_judgement_is_never_passed_over(tmp_path: Path) -> None:
    """A reading, a fact, an instrument, a rule, the fit, the card: each makes another judgement, and after
    each a desk that has just been opened says the same."""
    where = str(tmp_path / "a.sqlite3")
    job, check = make(tmp_path / "a.sqlite3")
    desk = Desk.open(where)
    bearing = desk.plant()[0].bearings[0].book
    toml = desk.card_text(desk.bearing(bearing).revisions[-1].digest)
    newer = desk.keep_card(toml.replace('maximum = "0.25 mm"', 'maximum = "0.21 mm"'), WRITER).digest
    changes: list[Callable[[], object]] = [
        lambda: desk.keep_reading(job, check, "DE top", "0.219 mm", WRITER, instrument="M-7", repeat=True),
        lambda: desk.keep_fact(job, check, "part_temperature", "55 degC", WRITER),
        lambda: desk.keep_instrument("M-7", {"anvil": "ball", "mpe": "0.010 mm"}, WRITER),
        lambda: desk.choose_rule(job, check, "simple acceptance", "the maker says so", WRITER),
        lambda: desk.adopt_card(job, newer, "new book", WRITER),
        lambda: desk.change_fit(job, "scraping", "lower", "", "scraped", WRITER),
    ]
    for number, change in enumerate(changes):
        before = desk.judgement(job, check)
        change()
        after = desk.judgement(job, check)
        assert after != before, number
        fresh = Desk.open(where)
        assert fresh.judgement(job, check) == after
        fresh.close()
    desk.close()
