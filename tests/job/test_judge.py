"""From readings to a judgement: verdict words, questions, what to do next."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import replace

import pytest

from tests.gauging.build import MAKER, card, facts, places_of, readings
from whitemetal.card import Card, Joint
from whitemetal.fitting.verdict import Policy
from whitemetal.gauging.contract import Fact, Place
from whitemetal.gauging.wire import WIRE
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import HoldShown, Judgement
from whitemetal.job.judgement_json import as_json

CLOSED = (HoldShown("clearance", "clearance", True, ""),)
OPEN = (*CLOSED, HoldShown("alignment", "alignment", False, ""))


def judged(
    clearance: float, one: Card | None = None, said: Mapping[str, Fact] | None = None, **options: object
) -> Judgement:
    one = one if one is not None else card()
    places = places_of(one)

    def read(p: Place) -> float:
        return clearance * (1.0 + math.cos(p.angle)) / 2.0

    return judge_readings(
        WIRE, one, places, said if said is not None else facts(wire_diameter="0.50 mm"), readings(places, read),
        **options,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.mark.parametrize(
    ("clearance", "word"),
    [
        (0.240e-3, "within limits"),
        (0.275e-3, "not proven"),
        (0.320e-3, "outside limits"),
        (0.205e-3, "not proven"),
    ],
)
def test_three_verdicts(clearance: float, word: str) -> None:
    assert judged(clearance).verdict == word


def test_both_bases_are_always_given() -> None:
    found = judged(0.240e-3).clearance
    assert found is not None
    assert found.radial_m == pytest.approx(found.diametral_m / 2)
    assert all(p.radial_m == pytest.approx(p.diametral_m / 2) for p in found.places)


def test_fit_needs_every_hold_point_closed() -> None:
    assert judged(0.240e-3).bearing == "not fit", "no hold points known: nothing is proven"
    assert judged(0.240e-3, holds=OPEN).bearing == "not fit"
    assert judged(0.240e-3, holds=CLOSED).bearing == "fit"
    assert judged(0.275e-3, holds=CLOSED).bearing == "not fit"


def test_what_is_not_recorded_keeps_the_verdict_not_proven() -> None:
    for key in ("wire_diameter", "journal_down", "joint", "tightened", "instrument__M-7__anvil"):
        found = judged(0.240e-3, said=facts(**{key: None}))
        assert found.verdict == "not proven", key
        assert any(w.code == "needed." + key.replace("__", ".") for w in found.warnings), key


def test_a_stale_check_never_counts() -> None:
    found = judged(0.240e-3, stale="The lower half was scraped.")
    assert found.verdict == "not proven"
    assert "scraped" in found.reasons[0]


def test_a_radial_limit_read_as_diametral_is_questioned_and_an_answer_settles_it() -> None:
    half = card(limits=(replace(MAKER, minimum=0.10e-3, maximum=0.14e-3),))
    found = judged(0.240e-3, half)
    assert found.verdict == "not proven"
    assert [w.code for w in found.warnings if w.severity == "question"] == ["verdict.basis_twice"]
    said = {**facts(wire_diameter="0.50 mm"), "answer.verdict.basis_twice": Fact("it is diametral")}
    settled = judged(0.240e-3, half, said)
    assert settled.verdict == "outside limits"
    assert any("it is diametral" in w.text for w in settled.warnings)


def test_the_same_limit_written_as_radial_gives_the_same_verdict() -> None:
    radial = card(limits=(replace(MAKER, minimum=0.10e-3, maximum=0.14e-3, basis="radial"),))
    a, b = judged(0.240e-3), judged(0.240e-3, radial)
    assert (a.verdict, a.probability) == (b.verdict, b.probability)
    assert b.limits is not None and b.limits.basis == "radial"


def test_a_limit_in_the_wrong_unit_is_questioned() -> None:
    slip = card(limits=(replace(MAKER, minimum=0.20e-3 * 25.4, maximum=0.28e-3 * 25.4),))
    asked = {w.code for w in judged(0.240e-3, slip).warnings if w.severity == "question"}
    assert "card.limit_relative.limit.1.minimum" in asked


def test_without_a_maker_figure_nothing_is_within_until_an_engineer_adopts_a_rule() -> None:
    bare = card(limits=())
    found = judged(0.240e-3, bare)
    assert found.verdict == "not proven"
    assert len(found.rules) > 2
    assert found.limits is None
    adopted = replace(MAKER, rung="general rule", signed_by="engineer")
    signed = judged(0.240e-3, card(limits=(adopted,)))
    assert signed.verdict == "within limits"
    assert signed.limits is not None and signed.limits.provisional
    assert any("Provisional" in reason for reason in signed.reasons)


def test_simple_acceptance_needs_the_maker_and_an_engineer() -> None:
    policy = Policy("simple acceptance", "engineer", "maker's book 4.2")
    assert judged(0.275e-3, policy=policy).verdict == "not proven"
    together = card(limits=(replace(MAKER, with_wire_method=True),))
    assert judged(0.275e-3, together, policy=policy).verdict == "within limits"
    assert judged(0.275e-3, together, policy=Policy("simple acceptance")).verdict == "not proven"


def test_next_steps_come_in_order_dirt_shims_metal() -> None:
    shims = card(joint=Joint("shims", 0.3e-3, 0.3e-3, "shell joint"))
    steps = judged(0.320e-3, shims, facts(wire_diameter="0.50 mm", joint="shims")).next
    order = [next(i for i, step in enumerate(steps) if word in step) for word in ("dirt", "shims", "metal")]
    assert order == sorted(order)


def test_the_loaded_half_is_never_scraped_for_clearance() -> None:
    steps = " ".join(judged(0.170e-3).next)
    assert "unloaded half" in steps and "never scrape the loaded half" in steps


def test_a_doubt_says_what_would_settle_it() -> None:
    found = judged(0.266e-3)
    assert found.verdict == "not proven"
    assert found.settle
    assert judged(0.240e-3).settle == ()


def test_units_do_not_change_a_verdict() -> None:
    one = card()
    inches = replace(one, bearing=replace(one.bearing, unit="in"))
    assert judged(0.262e-3, one).probability == judged(0.262e-3, inches).probability


def test_the_json_carries_what_scripts_need() -> None:
    data = json.loads(json.dumps(as_json(judged(0.240e-3, holds=OPEN)), allow_nan=False))
    assert data["format"] == "whitemetal.judgement/1"
    for key in ("diametral_m", "radial_m", "u_m", "dof", "end_to_end_m", "places"):
        assert key in data["clearance"]
    for key in ("label", "axial_m", "angle_rad", "diametral_m", "radial_m", "u_m", "verdict"):
        assert key in data["clearance"]["places"][0]
    for key in ("verdict", "probability", "limits", "reasons", "warnings", "next", "budget"):
        assert key in data
    for key in ("basis", "rung", "source"):
        assert key in data["limits"]


def test_the_budget_sums_to_the_variance() -> None:
    found = judged(0.240e-3)
    assert found.clearance is not None
    assert sum(line.u_m**2 for line in found.budget) == pytest.approx(
        found.clearance.u_m**2, rel=1e-9, abs=0.0
    )
    assert sum(line.share for line in found.budget) == pytest.approx(1.0)


def test_no_readings_is_not_proven_and_says_what_to_do() -> None:
    one = card()
    found = judge_readings(WIRE, one, places_of(one), facts(), ())
    assert found.verdict == "not proven"
    assert found.clearance is None
    assert found.next
