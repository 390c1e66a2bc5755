"""A check alone, without a record: what a script and the command line need."""

from __future__ import annotations

from collections.abc import Mapping

from whitemetal.card import Card
from whitemetal.fitting.verdict import Policy
from whitemetal.gauging import method_named
from whitemetal.gauging.readings_file import ReadingsFile, read_csv, read_toml
from whitemetal.job.judge import DEFAULT_POLICY, judge_readings
from whitemetal.job.judgement import Judgement


def read_readings(
    data: str | bytes,
    card: Card,
    *,
    method: str = "wire",
    form: str = "toml",
    facts: Mapping[str, str] | None = None,
    unit: str = "",
) -> ReadingsFile:
    """Readings of a file's content, TOML or (``form="csv"``) CSV, for a card's bearing.

    facts: as texts by key, beside what the file says. unit: of readings typed without one. Raises
    ReadingsError with every problem found, InputError for an unknown method.
    """
    read = read_csv if form == "csv" else read_toml
    return read(data, card, method_named(method), facts=facts, unit=unit).sound()


def judge(
    card: Card, taken: ReadingsFile, *, method: str = "wire", policy: Policy = DEFAULT_POLICY
) -> Judgement:
    """The judgement of a readings file by the card's limits. Raises InputError for an unknown method."""
    return judge_readings(
        method_named(method), card, taken.places, taken.facts, taken.readings, policy=policy
    )
