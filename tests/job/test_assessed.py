"""Quantities with limits of their own, through a made-up method: crush in two places and a part that must be
there. Expected probabilities are worked out with scipy's normal distribution, independently."""

from __future__ import annotations

import math
from dataclasses import replace
from importlib import resources

import pytest
from scipy.stats import norm

from whitemetal.card import Card, Limit, read_card
from whitemetal.gauging.contract import (
    Assessed,
    Field,
    Finding,
    GeneralRule,
    Method,
    Place,
    Reading,
    Result,
)
from whitemetal.job.assessed import together
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Judgement
from whitemetal.job.judgement_json import as_json
from whitemetal.quantity import Influence, Quantity

U = 5e-6


def _card(*limits: Limit) -> Card:
    text = resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_text(encoding="utf-8")
    return replace(read_card(text), limits=limits)


def _limit(
    of: str, low: float | None, high: float | None, rung: str = "owner's standard", **more: str
) -> Limit:
    basis = more.pop("basis", "diametral")
    return Limit(of, low, high, rung, "shop sheet (invented)", "1", basis=basis, **more)  # type: ignore[arg-type]


def _evaluate(card: Card, places: object, facts: object, readings: tuple[Reading, ...]) -> Result:
    values = tuple(Quantity.of(r.value, Influence(f"made.{r.place}", "made up", U)) for r in readings)
    findings = (
        () if all(r.value < 1e-3 for r in readings) else (Finding("made.gone", "fault", "It is gone."),)
    )
    found = Assessed("crush", "Crush", values, tuple(r.place for r in readings))
    side = Assessed("end float", "End float", values[:1], needed=False)
    return Result(None, findings=findings, assessed=(found, side) if values else ())


MADE_UP = Method(
    key="made_up", title="Made up", measures="crush", basis="diametral",
    reading_field=Field("crush", "Crush", "quantity", dimension="length"), fields=(),
    default_places=lambda card: (), evaluate=_evaluate, assesses=("crush", "end float"), proves="crush",
    rules=lambda card: (GeneralRule("crush", "made-up rule", "nowhere", 0.0, 50e-6),),
)  # fmt: skip


def _judge(card: Card, *values: float) -> Judgement:
    places = tuple(Place(f"P{i}", 0.0, 0.0, "P") for i in range(len(values)))
    readings = tuple(Reading(f"P{i}", str(v), v, 1e-6) for i, v in enumerate(values))
    return judge_readings(MADE_UP, card, places, {}, readings)


@pytest.mark.parametrize(
    ("value", "word"),
    [(25e-6, "within limits"), (-12e-6, "outside limits"), (3e-6, "not proven"), (62e-6, "outside limits")],
)
def test_a_quantity_is_judged_by_its_own_limit(value: float, word: str) -> None:
    judgement = _judge(_card(_limit("crush", 0.0, 50e-6)), value)
    expected = norm.cdf((50e-6 - value) / U) - norm.cdf((0.0 - value) / U)
    crush = judgement.assessed[0]
    assert judgement.clearance is None
    assert (judgement.verdict, crush.word) == (word, word)
    assert crush.probability == pytest.approx(expected, abs=1e-9)
    assert crush.values[0].expanded == pytest.approx(1.959964 * U, rel=1e-6)
    assert judgement.proves == "crush"


def test_a_limit_written_as_a_joint_gap_is_the_same_limit() -> None:
    diametral = _judge(_card(_limit("crush", 0.0, 50e-6)), 20e-6)
    gap = _judge(_card(_limit("crush", 0.0, 50e-6 * math.pi, basis="joint gap")), 20e-6)
    assert gap.assessed[0].probability == pytest.approx(diametral.assessed[0].probability or 0.0, abs=1e-12)
    assert gap.assessed[0].limit is not None and gap.assessed[0].limit.basis == "joint gap"


def test_without_a_limit_the_general_rule_is_shown_and_proves_nothing() -> None:
    judgement = _judge(_card(), 25e-6)
    assert judgement.verdict == "not proven"
    assert judgement.assessed[0].word is None
    assert judgement.assessed[0].rules[0].word == "within limits"
    assert any("no engineer has adopted" in reason for reason in judgement.reasons)


def test_a_general_rule_counts_once_an_engineer_adopts_it() -> None:
    alone = _limit("crush", 0.0, 50e-6, "general rule")
    assert _judge(_card(alone), 25e-6).verdict == "not proven"
    signed = replace(alone, signed_by="Engineer B (invented)")
    assert _judge(_card(signed), 25e-6).verdict == "within limits"


def test_a_limit_for_another_quantity_moves_nothing() -> None:
    crush = _limit("crush", 0.0, 50e-6)
    assert _judge(_card(crush, _limit("oil clearance", 1e-4, 2e-4)), 25e-6).verdict == "within limits"


def test_what_is_only_shown_counts_once_it_has_a_limit() -> None:
    crush = _limit("crush", 0.0, 50e-6)
    floats = _limit("end float", 1e-4, 2e-4, basis="as it is")
    judgement = _judge(_card(crush, floats), 25e-6)
    assert [one.word for one in judgement.assessed] == ["within limits", "outside limits"]
    assert judgement.verdict == "outside limits"


def test_a_fault_that_is_seen_goes_before_every_number() -> None:
    wide = _limit("crush", 0.0, 1.0)
    assert _judge(_card(wide), 0.9e-3).verdict == "within limits"
    judgement = _judge(_card(wide), 2e-3)
    assert judgement.verdict == "outside limits"
    assert "It is gone." in judgement.reasons[0]


def test_nothing_read_is_not_proven() -> None:
    assert _judge(_card(_limit("crush", 0.0, 1.0))).verdict == "not proven"


def test_together_is_never_more_than_the_sum_of_the_doubts_allows() -> None:
    """Boole: three chances of 0.97 leave at least 1 - 3 * 0.03 = 0.91, which is not 95 %."""
    three = [("within limits", 0.97, True)] * 3
    word, least = together(three)  # type: ignore[arg-type]
    assert (word, round(least or 0.0, 12)) == ("not proven", 0.91)
    one = [("within limits", 0.97, True), ("within limits", 0.99, False)]
    word, least = together(one)  # type: ignore[arg-type]
    assert (word, round(least or 0.0, 12)) == ("within limits", 0.96)
    assert together([("within limits", 0.97, True), (None, None, True)])[0] == "not proven"
    assert together([("within limits", 0.97, True), (None, None, False)])[0] == "within limits"


def test_the_json_carries_every_quantity() -> None:
    shown = as_json(_judge(_card(_limit("crush", 0.0, 50e-6)), 25e-6))["assessed"][0]
    assert (shown["of"], shown["unit"], shown["values"][0]["value"]) == ("crush", "mm", 25e-6)


def test_a_limit_of_an_assessed_quantity_is_no_limit_of_the_clearance() -> None:
    """Found in use: the limit of a crush stood in the block of the clearance as well."""
    judgement = _judge(_card(_limit("crush", 0.0, 50e-6)), 25e-6)
    assert (judgement.limits, judgement.ladder, judgement.rules) == (None, (), ())
