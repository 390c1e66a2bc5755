"""The diagram along the axis: true to scale, both bases, limits named with their values."""

from __future__ import annotations

import itertools

import pytest

from tests.drawing import build
from whitemetal.drawing import Band, GapPoint, gap_along_axis_svg
from whitemetal.drawing.along_axis import BOTTOM, TOP, Scale, scale_for, ticks
from whitemetal.units import INCH

POINTS = [
    GapPoint("DE top", 0.016, 0.0, 0.24e-3, 0.02e-3, "within limits"),
    GapPoint("OE top", 0.124, 0.0, 0.27e-3, 0.02e-3, "not proven"),
]
MAKER = Band("maker's figure", 0.2e-3, 0.3e-3, None, 0.22e-3, 0.28e-3)


def lines(svg: str, kind: str) -> list[tuple[float, float, float, float]]:
    return [
        (float(n.get("x1", "0")), float(n.get("y1", "0")), float(n.get("x2", "0")), float(n.get("y2", "0")))
        for n in build.root(svg).iter(f"{build.SVG}line")
        if n.get("class") == f"wm-{kind}"
    ]


def test_the_scale_is_linear_and_upwards() -> None:
    scale = Scale(0.1e-3, 0.3e-3)
    assert scale.y(0.1e-3) == BOTTOM
    assert scale.y(0.3e-3) == TOP
    assert scale.y(0.2e-3) == pytest.approx((TOP + BOTTOM) / 2)


def test_the_scale_holds_every_bar_and_every_limit() -> None:
    scale = scale_for(POINTS, [MAKER, Band("other", 0.05e-3, 0.5e-3, 0.6e-3, main=False)], (0.2e-3, 0.9e-3))
    assert scale.least < 0.05e-3
    assert scale.greatest > 0.9e-3


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
@pytest.mark.parametrize("width", [1e-6, 3e-5, 1.7e-4, 2e-3])
def test_ticks_are_round_in_the_unit_and_few(unit: str, width: float) -> None:
    found = ticks(Scale(1e-4, 1e-4 + width), unit)
    size = {"mm": 1e-3, "in": INCH, "thou": INCH / 1000}[unit]
    assert 2 <= len(found) <= 8
    steps = {round((b - a) / size, 12) for a, b in itertools.pairwise(found)}
    [step] = {float(f"{one:.6g}") for one in steps}
    assert f"{step:e}"[0] in "125"


def test_limits_are_lines_at_their_values_and_named_with_them() -> None:
    svg = gap_along_axis_svg(build.card(), POINTS, [MAKER])
    scale = scale_for(POINTS, [MAKER])
    across = {round(a[1], 1) for a in lines(svg, "thick") if a[2] - a[0] > 200}
    assert across == {round(scale.y(0.2e-3), 1), round(scale.y(0.3e-3), 1)}
    edges = {round(a[1], 1) for a in lines(svg, "edge")}
    assert edges == {round(scale.y(0.22e-3), 1), round(scale.y(0.28e-3), 1)}
    words = [text for text, _, _ in build.texts(svg)]
    assert "max 0.300" in words
    assert "min 0.200" in words
    assert "proven to 0.280" in words


def test_bars_reach_as_far_as_the_uncertainty() -> None:
    svg = gap_along_axis_svg(build.card(), POINTS[:1], [MAKER])
    scale = scale_for(POINTS[:1], [MAKER])
    upright = [a for a in lines(svg, "thin") if a[0] == a[2] and abs(a[1] - a[3]) > 5]
    assert [(a[1], a[3]) for a in upright] == [pytest.approx((scale.y(0.22e-3), scale.y(0.26e-3)), abs=0.01)]


def test_diametral_stands_left_and_half_of_it_right() -> None:
    svg = gap_along_axis_svg(build.card(), POINTS, [MAKER])
    by_height: dict[float, list[tuple[float, str]]] = {}
    for words, x, y in build.texts(svg):
        if words.replace(".", "").isdigit():
            by_height.setdefault(y, []).append((x, words))
    assert len(by_height) >= 3
    for pair in by_height.values():
        (_, full), (_, half) = sorted(pair)
        assert float(half) == pytest.approx(float(full) / 2)


def test_turning_swaps_the_ends_and_the_places() -> None:
    straight = gap_along_axis_svg(build.card(), POINTS, [MAKER], fitted=(0.24e-3, 0.28e-3))
    turned = gap_along_axis_svg(build.card(), POINTS, [MAKER], fitted=(0.24e-3, 0.28e-3), turned=180)
    assert build.text_at(straight, "drive end")[0] < build.text_at(straight, "other end")[0]
    assert build.text_at(turned, "other end")[0] < build.text_at(turned, "drive end")[0]
    [(_, a, _, b)], [(_, c, _, d)] = lines(straight, "accent"), lines(turned, "accent")
    assert (a, b) == (d, c)
    assert a > b


def test_without_a_limit_to_judge_by_the_rules_stand_side_by_side() -> None:
    rules = [Band(f"rule {i}", 1e-4 * (1 + i), 1e-4 * (2 + i), main=False) for i in range(3)]
    words = [text for text, _, _ in build.texts(gap_along_axis_svg(build.card(), POINTS, rules))]
    assert [letter for letter in words if letter in "abc"] == ["a", "b", "c"]
    assert any(line.startswith("b: min 0.200, max 0.300 mm: rule 1") for line in words)
    both = [text for text, _, _ in build.texts(gap_along_axis_svg(build.card(), POINTS, [MAKER, *rules]))]
    assert not {"a", "b", "c"} & set(both)
    assert any("rule 1" in line for line in both)


def test_a_long_name_never_hides_the_figures() -> None:
    band = Band("a very long name of a document, " * 20, 0.2e-3, 0.3e-3, 0.35e-3, 0.22e-3, 0.28e-3)
    words = " ".join(text for text, _, _ in build.texts(gap_along_axis_svg(build.card(), POINTS, [band])))
    for figure in ("min 0.200", "max 0.300", "renewal 0.350", "proven from 0.220", "proven to 0.280"):
        assert figure in words[words.index("other end") :]
