"""The bearing as found: what is asked, what a bad sign asks back, and what the shims of both sides say."""

from __future__ import annotations

import pytest

from tests.gauging.test_recorded import card, judge, right
from whitemetal.gauging import METHODS
from whitemetal.gauging.condition import shims
from whitemetal.gauging.contract import Fact

CONDITION = METHODS["condition"]
FOUND = {
    "marks": "there and read", "oil_level": "right", "oil_looks": "clear", "shims_left": "3",
    "shims_left_thickness": "0.75 mm", "shims_right": "3", "shims_right_thickness": "0.75 mm",
}  # fmt: skip


def codes(facts: dict[str, str]) -> dict[str, str]:
    return {one.code: one.severity for one in judge(CONDITION, facts).warnings}


def test_what_is_needed_leaves_it_within_limits_and_nothing_less_does() -> None:
    assert judge(CONDITION, FOUND).verdict == "within limits"
    for key in ("marks", "oil_level", "oil_looks", "shims_left", "shims_right"):
        without = {name: text for name, text in FOUND.items() if name != key}
        assert judge(CONDITION, without).verdict == "not proven", key


@pytest.mark.parametrize(
    ("key", "text"),
    [("marks", "none"), ("oil_level", "low"), ("oil_looks", "cloudy or milky"), ("ring_seen", "stood or jerked"),
     ("feed_seen", "low"), ("outside", "oil at a seal")],
)  # fmt: skip
def test_a_bad_sign_asks_and_an_answer_settles_it(key: str, text: str) -> None:
    bad = {**FOUND, key: text}
    found = judge(CONDITION, bad)
    assert (found.verdict, codes(bad)[f"condition.{key}"]) == ("not proven", "question")
    answered = {**bad, f"answer.condition.{key}": "cooler leaks; replaced"}
    assert judge(CONDITION, answered).verdict == "within limits"
    assert "cooler leaks" in " ".join(one.text for one in judge(CONDITION, answered).warnings)


@pytest.mark.parametrize(
    ("left", "right_side", "said"),
    [
        (("3", "0.75 mm"), ("3", "0.75 mm"), {}),
        (("3", "0.75 mm"), ("3", "0.78 mm"), {"condition.shims_differ": "warning"}),
        (("3", "0.75 mm"), ("3", "0.76 mm"), {}),
        (("3", "0.75 mm"), ("0", ""), {"condition.shims_differ": "warning"}),
        (("0", ""), ("0", ""), {}),
        (("2", ""), ("2", "0.50 mm"), {"condition.shims_left": "warning"}),
        (("2", "-0.5 mm"), ("2", "0.5 mm"), {"condition.impossible": "hold"}),
        (("0", "0.5 mm"), ("1", "0.5 mm"), {"condition.shims_left_none": "question"}),
    ],
)
def test_what_the_shims_of_both_sides_say(
    left: tuple[str, str], right_side: tuple[str, str], said: dict[str, str]
) -> None:
    facts = dict(FOUND)
    for side, (count, thick) in (("left", left), ("right", right_side)):
        facts[f"shims_{side}"], facts[f"shims_{side}_thickness"] = count, thick
    assert codes(facts) == said


def test_shims_are_read_in_the_unit_typed_and_counted_as_whole_numbers() -> None:
    facts = {"shims_left": Fact("2"), "shims_left_thickness": Fact("20 thou")}
    count, thick = shims(facts, "left", "mm")
    assert count == 2
    assert thick == pytest.approx(20 * 0.0254e-3, rel=1e-12)
    assert shims(facts, "right", "mm") == (None, None)
    assert shims({"shims_left": Fact("0")}, "left", "mm") == (0, 0.0)


def test_it_is_asked_of_every_bearing() -> None:
    assert judge(CONDITION, right(CONDITION), card(kind="motor")).title == "Condition as found"
