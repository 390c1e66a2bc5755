"""A judgement kept in memory is the one that would be reckoned again, and goes when anything changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.mill import WRITER, make
from tests.desk.test_signing import taken, with_gauge
from tests.ledger.writing import ANN, CARD
from whitemetal.desk import Desk
from whitemetal.job.holds import ORDER_OF_TRUST


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


def test_a_stale_check_as_found_does_not_say_that_a_fit_bearing_is_not(tmp_path: Path) -> None:
    """The clearance as found, one pass on the unloaded half, the clearance as left and every point closed: the
    sheet of the first check no longer counts, and says so; what it says of the bearing is what the job says."""
    desk = with_gauge(tmp_path / "a.sqlite3")
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    found = taken(desk, job, "0.195")
    assert desk.judgement(job, found).verdict == "within limits"
    desk.change_fit(job, "scraping", "upper", "", "one pass", ANN)
    left = taken(desk, job, "0.200")
    for hold in desk.judgement(job, left).holds:
        if hold.key != "clearance":
            desk.set_hold(job, hold.key, "closed", "", ANN, check="" if hold.key in ORDER_OF_TRUST else left)
    old, new = desk.judgement(job, found), desk.judgement(job, left)
    assert (new.verdict, new.bearing, desk.chain(job).bearing) == ("within limits", "fit", "fit")
    assert (old.verdict, old.bearing) == ("not proven", "fit")
    assert old.stale.endswith("When it was read it was within limits.")
    desk.close()
