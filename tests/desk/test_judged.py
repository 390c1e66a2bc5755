"""A judgement kept in memory is the one that would be reckoned again, and goes when anything changes."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bench.mill import WRITER, make
from tests.desk.test_signing import taken, with_gauge
from tests.ledger.writing import ANN, CARD
from whitemetal.card import Card
from whitemetal.desk import Desk, judged
from whitemetal.gauging.contract import Finding, Result
from whitemetal.job.agreement import evaluated
from whitemetal.job.holds import ORDER_OF_TRUST
from whitemetal.job.judge import judge_check, word_of
from whitemetal.job.state import CheckState
from whitemetal.quantity import chance


def test_nothing_new_gives_the_same_judgement_without_reckoning(tmp_path: Path) -> None:
    job, check = make(tmp_path / "a.sqlite3")
    desk = Desk.open(str(tmp_path / "a.sqlite3"))
    assert desk.judgement(job, check) is desk.judgement(job, check)
    desk.close()


def test_a_reading_at_one_check_has_the_others_read_no_second_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = with_gauge(tmp_path / "a.sqlite3")
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    one, other = taken(desk, job, "0.195"), taken(desk, job, "0.200")
    read: list[str] = []

    def spied(card: Card, check: CheckState) -> Result:
        read.append(check.check)
        return evaluated(card, check)

    monkeypatch.setattr(judged, "evaluated", spied)
    for check in (one, other):
        desk.judgement(job, check)
    assert sorted(read) == sorted([one, other])
    read.clear()
    desk.keep_reading(job, one, "DE top", "0.196 mm", ANN, instrument="M-7", repeat=True)
    for check in (one, other):
        desk.judgement(job, check)
    assert read == [one]
    desk.close()


def test_one_reading_has_one_judgement_reckoned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first reading at one check of three contradicts the others. It is judged once and put beside them
    once. Another check judged after it asks for the word of the one alone, and reads nothing again; and whoever
    asks again has nothing reckoned."""
    desk = with_gauge(tmp_path / "a.sqlite3")
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    others = [taken(desk, job, text) for text in ("0.200", "0.202")]
    one = desk.start_check(job, "wire", desk.job(job).state.checks[others[0]].purpose, ANN)
    for check in (one, *others):
        desk.judgement(job, check)
    reckoned: Counter[str] = Counter()
    for name in ("judge_check", "word_of", "doubts_of", "read_from", "evaluated"):
        monkeypatch.setattr(judged, name, spying(reckoned, name))
    desk.keep_reading(job, one, "DE top", "0.260 mm", ANN, instrument="M-7")
    desk.judgement(job, one)
    assert reckoned == {"judge_check": 1, "doubts_of": 1, "read_from": 1, "evaluated": 1}
    reckoned.clear()
    desk.judgement(job, others[0])
    assert reckoned == {"judge_check": 1, "word_of": 1}
    reckoned.clear()
    for check in (one, others[0]):
        desk.judgement(job, check)
    assert not reckoned
    desk.close()


def spying(reckoned: Counter[str], name: str) -> Callable[..., Any]:
    """What ``judged`` calls by this name, counted."""
    real = getattr(judged, name)

    def spied(*given: Any, **named: Any) -> Any:
        reckoned[name] += 1
        return real(*given, **named)

    return spied


def test_the_word_of_a_check_is_that_of_its_judgement(tmp_path: Path) -> None:
    """Within, outside, between, with nothing read and stale, whatever the rest of the job says against it."""
    desk = with_gauge(tmp_path / "a.sqlite3")
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    taken(desk, job, "0.195")
    desk.change_fit(job, "scraping", "upper", "", "one pass", ANN)
    for text in ("0.200", "0.300", "0.246"):
        taken(desk, job, text)
    desk.start_check(job, "wire", "as left", ANN)
    view, words = desk.job(job), []
    for check in view.state.checks.values():
        for severity in (None, "warning", "question", "hold", "fault", "refused"):
            doubts = () if severity is None else (Finding("x", severity, "doubted"),)
            word = word_of(check, view.card, doubts, evaluated(view.card, check))
            assert word == judge_check(check, view.card, (), doubts).verdict
            words.append(word)
    assert words[6] == "within limits" and {*words} == {"within limits", "outside limits", "not proven"}
    desk.close()


def test_a_joint_probability_is_reckoned_once_while_the_numbers_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six places within 3 standard uncertainties of both limits, asked twice; then another limit."""
    asked: list[int] = []
    real = chance._separated

    def spied(*given: Any) -> Any:
        asked.append(1)
        return real(*given)

    chance._within_box.cache_clear()
    monkeypatch.setattr(chance, "_separated", spied)
    values, covariance = np.full(6, 0.2137e-3), np.diag(np.full(6, 25e-12)) + 1e-12
    limits = (0.1987e-3, 0.2287e-3)
    first = chance.probability_within_box(values, covariance, 33.0, *limits)
    assert chance.probability_within_box(values.copy(), covariance.copy(), 33.0, *limits) == first
    assert len(asked) == 1
    assert chance.probability_within_box(values, covariance, 33.0, limits[0], 0.22e-3) < first
    assert len(asked) == 2


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


def test_what_several_ask_for_at_once_is_reckoned_once() -> None:
    """Four ask while nothing is remembered; the first one is held until the others wait for their turn."""
    memory: judged.Memory[str] = judged.Memory(threading.Lock())
    made: list[int] = []
    waiting = threading.Semaphore(0)

    def make() -> str:
        made.append(threading.get_ident())
        for _ in range(3):
            waiting.acquire(timeout=60)
        time.sleep(0.05)
        return "made"

    def ask(_: int) -> str:
        waiting.release()
        return memory.of("name", 1, make)

    with ThreadPoolExecutor(4) as hands:
        assert list(hands.map(ask, range(4))) == ["made"] * 4
    assert len(made) == 1
    assert memory.of("name", 2, lambda: "another") == "another", "made from something else"
