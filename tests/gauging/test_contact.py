"""The blue pattern against counts made by hand on the grid."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.card import Bearing, Card, Duty, Limit, Machine
from whitemetal.gauging.contact import CONTACT
from whitemetal.gauging.contact.pattern import COLOURS, COLUMNS, ROWS, pattern_of
from whitemetal.gauging.contract import Fact, Reading, Result
from whitemetal.job.judge import judge_readings

PAGE = "a page on journal contact of sleeve bearings"
HOW = {"how": Fact("journal, blued"), "film": Fact("thin")}


def card(rpm: float = 990.0, direction: str = "down", half: str = "lower", *limits: Limit) -> Card:
    machine = Machine("T-1", "test", "fan", rpm * math.pi / 30.0)
    duty = Duty(direction=direction, loaded_half=half)  # type: ignore[arg-type]
    return Card(machine, Bearing("1", 0.16, 0.144), duty=duty, limits=limits)


def paint(grid: str, of: Card | None = None) -> tuple[Reading, ...]:
    """Readings from a picture: H heavy, l light, . none, blank not looked at; a line a row, first end first."""
    lines = grid.strip("\n").split("\n")
    places = {place.label: place for place in CONTACT.default_places(of or card())}
    word = {"H": "heavy", "l": "light", ".": "none"}
    return tuple(
        Reading(label, word[mark], float(COLOURS.index(word[mark])), 0.0)
        for row, line in enumerate(lines)
        for column, mark in enumerate(line.ljust(COLUMNS))
        if mark != " " and (label := f"{'ABCDEF'[row]}{column + 1}") in places
    )


def evaluate(grid: str, of: Card | None = None, **more: str) -> Result:
    of = of or card()
    facts = HOW | {key: Fact(text) for key, text in more.items()}
    return CONTACT.evaluate(of, CONTACT.default_places(of), facts, paint(grid, of))


def value(result: Result, of: str) -> float:
    return next(one.values[0].value for one in result.assessed if one.of == of)


def codes(result: Result) -> set[str]:
    return {one.code.removeprefix("contact.") for one in result.findings}


GOOD = """
....llll....
....lHll....
....llHl....
....llll....
....lHll....
....llll....
"""


def test_a_good_pattern() -> None:
    """Four columns of 15 degrees: 60 degrees; all six rows; 24 of 24 cells in the arc; no bare end."""
    result = evaluate(GOOD)
    assert math.degrees(value(result, "contact arc")) == pytest.approx(60.0)
    assert value(result, "contact length") == 1.0
    assert value(result, "contact area") == 1.0
    assert value(result, "contact bare end") == 0.0
    assert codes(result) == set()


def test_a_bare_end_and_holes() -> None:
    """Rows A and B bare: 48 mm of 144; four of six rows; in the four rows 12 of 16 cells, that is 12 of 24."""
    result = evaluate("""
............
............
....ll.l....
....l.ll....
....llll....
....l.l.....
""")
    assert value(result, "contact bare end") == pytest.approx(0.048)
    assert value(result, "contact length") == pytest.approx(4 / 6)
    assert value(result, "contact area") == pytest.approx(12 / 24)
    assert "uneven" in codes(result)


def test_a_pattern_to_one_side() -> None:
    """Two columns further right: its middle is 30 degrees off the load line."""
    result = evaluate(
        GOOD.replace("....llll....", "......llll..")
        .replace("....lHll....", "......lHll..")
        .replace("....llHl....", "......llHl..")
    )
    said = next(one.text for one in result.findings if one.code == "contact.shifted")
    assert "30° to the right" in said


def test_heavy_at_an_end_and_at_the_joint() -> None:
    result = evaluate(GOOD.replace("....llll....", "....HHHH....", 1))
    assert "heavy_end" in codes(result)
    joint = evaluate(GOOD.replace("....lHll....", "H...lHll....", 1))
    assert "heavy_joint" in codes(joint)


def test_the_arc_is_the_one_about_the_load() -> None:
    """Two patches; the load points down: the patch in the middle counts, not the one at the joint."""
    result = evaluate("\n".join(["ll...lll...."] * 6))
    assert math.degrees(value(result, "contact arc")) == pytest.approx(45.0)


def test_a_gear_loads_sideways() -> None:
    """Load to the right: on the lower half it points at the right joint; the right patch is the arc."""
    grid = "\n".join(["....ll..llll"] * 6)
    sideways = evaluate(grid, card(direction="right"))
    assert math.degrees(value(sideways, "contact arc")) == pytest.approx(60.0)
    assert math.degrees(value(evaluate(grid, card()), "contact arc")) == pytest.approx(30.0)


def test_columns_run_from_left_to_right_on_either_half() -> None:
    """The first column lies at the left joint: -90 + 7.5 degrees from top over the upper half, and over the
    lower half 180 + 82.5, which is -97.5 from top."""
    upper = {p.label: p for p in CONTACT.default_places(card(half="upper", direction="up"))}
    lower = {p.label: p for p in CONTACT.default_places(card())}
    assert math.degrees(upper["A1"].angle) == pytest.approx(-82.5)
    assert math.degrees(lower["A1"].angle) == pytest.approx(-97.5)
    assert math.degrees(lower["A12"].angle) == pytest.approx(97.5)
    assert lower["A1"].axial == pytest.approx(0.012) and lower["F1"].axial == pytest.approx(0.132)


def test_cells_nobody_looked_at_are_held() -> None:
    result = evaluate(GOOD.replace("....lHll....", "....lHll.  .", 1))
    assert "not_all" in codes(result)


def test_no_blue_at_all_is_a_fault() -> None:
    result = evaluate("\n".join(["............"] * 6))
    assert [one.severity for one in result.findings if one.code == "contact.no_blue"] == ["fault"]
    assert evaluate("").findings[0].severity == "hold"


def test_thick_blue_is_held_and_a_makers_word_is_told() -> None:
    assert "thick" in codes(evaluate(GOOD, film="thick"))
    forbidden = replace(card(), bearing=replace(card().bearing, scraping_allowed=False))
    assert "do_not_scrape" in codes(evaluate(GOOD, forbidden))
    unknown = card(direction="not known")
    assert "load_not_known" in codes(evaluate(GOOD, unknown))


def test_spots_per_area() -> None:
    """27 spots in three squares of 25.4 mm: 27/(3 * 6.4516 cm2) = 1.395 per cm2, uncertain by its root."""
    result = evaluate(GOOD, spots="27", squares="3", square="25.4 mm")
    spots = next(one.values[0] for one in result.assessed if one.of == "contact spots")
    assert spots.value / 1e4 == pytest.approx(27 / (3 * 6.4516), rel=1e-9)
    assert spots.u / spots.value == pytest.approx(1 / math.sqrt(27))


@pytest.mark.parametrize(
    "told",
    [
        {"spots": "27", "squares": "3"},
        {"spots": "27", "square": "25.4 mm"},
        {"spots": "twenty", "squares": "3", "square": "25.4 mm"},
    ],
)
def test_spots_that_give_no_density_are_said(told: dict[str, str]) -> None:
    result = evaluate(GOOD, None, **told)
    assert "contact spots" not in [one.of for one in result.assessed]
    assert "spots_unclear" in codes(result)


def test_a_load_at_the_joint_is_not_called_shifted() -> None:
    """Load to the right on the lower half: the pattern runs over the joint, and the grid shows half of it."""
    grid = "\n".join(["........llll"] * 6)
    assert codes(evaluate(grid, card(direction="right"))) == {"other_half_too"}
    assert codes(evaluate(grid, card())) == {"shifted"}


@pytest.mark.parametrize(("rpm", "arc"), [(990, "60°"), (300, "90°"), (500, "60°")])
def test_arcs_by_speed(rpm: float, arc: str) -> None:
    rule = CONTACT.rules(card(rpm))[0]
    assert arc in rule.title and "120°" in rule.title
    assert rule.source == PAGE
    assert rule.maximum == pytest.approx(math.radians(120.0))


def test_an_arc_of_half_the_bore_is_outside_its_limit() -> None:
    limit = Limit(
        "contact arc", math.radians(50), math.radians(120), "owner's standard", "s", "1", "as it is"
    )
    of = card(990.0, "down", "lower", limit)
    full = paint("\n".join(["llllllllllll"] * 6), of)
    judgement = judge_readings(CONTACT, of, CONTACT.default_places(of), HOW, full)
    assert judgement.verdict == "outside limits"


def test_every_rule_that_the_program_finds_is_tried_above() -> None:
    found = {rule.code for rule in CONTACT.rejection_rules if rule.found_by == "program"}
    assert found == {"contact.thick", "contact.not_all", "contact.no_blue"}


GRIDS = st.lists(
    st.lists(st.sampled_from("Hl."), min_size=COLUMNS, max_size=COLUMNS).map("".join),
    min_size=ROWS,
    max_size=ROWS,
)


@given(grid=GRIDS)
def test_a_mirror_image_has_the_same_arc_and_bare_end(grid: list[str]) -> None:
    """Two patches equally far from the load may change places; their lengths may not."""
    plain, mirrored = evaluate("\n".join(grid)), evaluate("\n".join(row[::-1] for row in grid))
    assert [one.of for one in plain.assessed] == [one.of for one in mirrored.assessed]
    for of in ("contact arc", "contact bare end"):
        if plain.assessed:
            assert value(plain, of) == pytest.approx(value(mirrored, of))


@given(grid=GRIDS, seed=st.integers(0, 2**31))
def test_the_order_of_painting_changes_nothing(grid: list[str], seed: int) -> None:
    taken = list(paint("\n".join(grid)))
    places = CONTACT.default_places(card())
    plain = CONTACT.evaluate(card(), places, HOW, tuple(taken))
    np.random.default_rng(seed).shuffle(taken)
    moved = CONTACT.evaluate(card(), places, HOW, tuple(taken))
    assert (moved.assessed, moved.findings) == (plain.assessed, plain.findings)


@given(grid=GRIDS)
def test_more_blue_never_shortens_the_carrying_length(grid: list[str]) -> None:
    """Every cell of one column turned to light: the rows that carry are all of them."""
    more = [row[:5] + "l" + row[6:] for row in grid]
    pattern = pattern_of(card(), CONTACT.default_places(card()), paint("\n".join(more)))
    assert pattern.touches.any(axis=1).all()
    full = evaluate("\n".join(["llllllllllll"] * ROWS))
    assert math.degrees(value(full, "contact arc")) == pytest.approx(180.0)


@given(painted=st.lists(st.tuples(st.integers(0, ROWS - 1), st.integers(0, COLUMNS - 1)), max_size=20))
def test_heavier_cells_never_change_a_full_patterns_sizes(painted: list[tuple[int, int]]) -> None:
    """Every cell is blue: 180 degrees, all of the length and of the area, whatever is light and what heavy."""
    rows = [["l"] * COLUMNS for _ in range(ROWS)]
    for row, column in painted:
        rows[row][column] = "H"
    result = evaluate("\n".join("".join(row) for row in rows))
    assert math.degrees(value(result, "contact arc")) == pytest.approx(180.0)
    assert (value(result, "contact length"), value(result, "contact area")) == (1.0, 1.0)
    assert value(result, "contact bare end") == 0.0


@given(grid=GRIDS, row=st.integers(0, ROWS - 1), column=st.integers(0, COLUMNS - 1))
def test_one_more_blue_cell_never_makes_a_bare_end_longer(grid: list[str], row: int, column: int) -> None:
    more = [line if i != row else line[:column] + "l" + line[column + 1 :] for i, line in enumerate(grid)]
    before, after = evaluate("\n".join(grid)), evaluate("\n".join(more))
    if before.assessed:
        assert value(after, "contact bare end") <= value(before, "contact bare end")
