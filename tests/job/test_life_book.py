"""A bearing's own book as it was written once: counters, shells, figures from old paper, the plant's rule."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from whitemetal.job.counters import reached
from whitemetal.job.entry import Entry, digest_of, from_json
from whitemetal.job.life_book import life_book
from whitemetal.job.life_rule import NO_RULE, rule_of

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-life.jsonl"


@pytest.fixture(scope="module")
def kept() -> list[Entry]:
    return [from_json(json.loads(line)) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]


def test_every_entry_has_its_digest_still(kept: list[Entry]) -> None:
    assert [entry.id for entry in kept if digest_of(entry) != entry.digest] == []
    assert {entry.kind for entry in kept} == {
        "hours/1", "renewed/1", "transcribed/1", "strike/1", "opening_rule/1",
    }  # fmt: skip


def test_the_book_reads_as_it_was_written(kept: list[Entry]) -> None:
    """As found 0.155 mm radial is 0.310 mm; good to 0.02 mm radial (95 %): u = 2 sqrt(0.01² + 0.001²/12) mm."""
    book = life_book(kept)
    assert book.unread == 0
    assert [(one.day.isoformat(), one.of, one.purpose, one.place, one.text, one.basis) for one in book.papers] == [
        ("2008-04-02", "oil clearance", "as found", "", "0,155 mm", "radial"),
        ("2008-04-02", "oil clearance", "as left", "", "0.100 mm", "radial"),
        ("2008-04-02", "crown thickness", "as found", "DE left", "12.01 mm", ""),
        ("2008-04-02", "temperature", "as found", "", "62 degC", ""),
        ("2010-04-02", "oil clearance", "as found", "", "0.120 mm", "radial"),
    ]  # fmt: skip
    assert book.papers[0].value == pytest.approx(0.310e-3)
    assert book.papers[0].u == pytest.approx(2e-3 * (0.01**2 + 0.001**2 / 12) ** 0.5)
    assert book.papers[0].torque == "420 N m" and "white metal grey" in book.papers[0].source
    assert [(one.day.isoformat(), one.name) for one in book.shells] == [
        ("2008-04-02", "pair 5"), ("2012-04-02", "pair 9"),
    ]  # fmt: skip
    assert [(one.hours, one.starts, one.anew, bool(one.standing.struck)) for one in book.counters] == [
        (41000 * 3600.0, 310.0, False, False), (57000 * 3600.0, 420.0, False, False),
        (120 * 3600.0, None, True, False), (16120 * 3600.0, None, False, True),
    ]  # fmt: skip


def test_a_counter_set_anew_goes_on_from_what_it_showed_last(kept: list[Entry]) -> None:
    """57 000 h on the old one and 120 h on the new one."""
    counters = life_book(kept).counters
    assert reached(counters, date(2010, 5, 1), "hours") == (57_120 * 3600.0, "read")
    assert reached(counters, date(2013, 4, 2), "hours") == (None, ""), "the struck one does not count"


def test_starts_stay_where_they_were_when_the_hours_alone_are_set_anew(kept: list[Entry]) -> None:
    """Starts 420 before; the new counter of hours shows 120 h; the same counter of starts then shows 500, and
    after it was exchanged too 30: 500 + 30."""
    first = next(entry for entry in kept if entry.kind == "hours/1")

    def counter(id: str, **said: str) -> Entry:
        words = {"date": "", "hours": "", "starts": "", "anew": "no", "source": "panel", **said}
        return replace(first, id=id, digest=id, body=words)

    later = counter("a", date="2011-04-02", starts="500")
    assert reached(life_book([*kept, later]).counters, date(2011, 4, 2), "starts") == (500.0, "read")
    both = [
        counter("b", date="2012-04-02", hours="16000", anew="yes"),
        counter("c", date="2012-04-02", starts="30", anew="yes"),
    ]
    counters = life_book([*kept, later, *both]).counters
    assert reached(counters, date(2012, 4, 2), "starts") == (530.0, "read")
    assert [one.standing.disputed for one in counters[-2:]] == [False, False], "they are of two counters"


def test_hours_and_starts_of_one_day_in_two_entries_are_no_contradiction(kept: list[Entry]) -> None:
    first = next(entry for entry in kept if entry.kind == "hours/1")

    def counter(id: str, **said: str) -> Entry:
        words = {"date": "2016-04-02", "hours": "", "starts": "", "anew": "", "source": "panel", **said}
        return replace(first, id=id, digest=id, body=words)

    two = [counter("a", hours="20000"), counter("b", starts="500")]
    counters = life_book([*kept, *two]).counters
    assert [one.standing.counts for one in counters[-2:]] == [True, True]
    assert reached(counters, date(2016, 4, 2), "starts")[1] == "read"
    third = counter("c", hours="20001", starts="500")
    assert [one.standing.disputed for one in life_book([*kept, *two, third]).counters[-3:]] == [
        True,
        False,
        True,
    ]


def test_order_of_arrival_changes_nothing(kept: list[Entry]) -> None:
    expected = life_book(kept)
    for seed in range(20):
        shuffled = list(kept)
        random.Random(seed).shuffle(shuffled)
        assert life_book(shuffled) == expected


def test_the_plants_rule(kept: list[Entry]) -> None:
    rule = rule_of(kept)
    assert (rule.months, rule.risk, rule.text, rule.others) == (48, 0.05, "insurer's rule (invented)", ())
    assert rule_of([]) == NO_RULE


def test_an_entry_that_lacks_a_word_or_says_nonsense_is_counted_and_left_out(kept: list[Entry]) -> None:
    counter = next(entry for entry in kept if entry.kind == "hours/1")
    broken = [
        replace(counter, id="a", digest="a", body={"date": "2008-04-02"}),
        replace(counter, id="b", digest="b", body={**counter.body, "date": "some day"}),
        replace(counter, id="c", digest="c", body={**counter.body, "hours": 41000}),
    ]
    book = life_book([*kept, *broken])
    assert book.unread == 3 and len(book.counters) == 4
