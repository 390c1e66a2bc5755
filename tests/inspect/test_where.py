"""What the pattern of marked cells is called, drawn out as a person marks it. Far row first, left to right."""

from __future__ import annotations

import pytest

from whitemetal.errors import InputError
from whitemetal.inspect.where import CELLS, Half, cells_of, where_of


def marked(upper: str, lower: str) -> list[str]:
    """Cells from two drawings of three rows; rows are first, middle, second end."""
    keys = []
    for half, drawing in (("upper", upper), ("lower", lower)):
        for end, row in zip(("first", "middle", "second"), drawing.split(), strict=True):
            for side, letter in zip(("left", "crown", "right"), row, strict=True):
                keys += [f"{half} {end} {side}"] * (letter == "x")
    return keys


NONE = "... ... ..."


@pytest.mark.parametrize(
    ("upper", "lower", "said"),
    [
        (NONE, NONE, []),
        (NONE, "... .x. ...", ["a spot", "loaded sector"]),
        (NONE, ".x. .x. .x.", ["loaded sector"]),
        (NONE, "xxx ... ...", ["loaded sector", "one end"]),
        (NONE, "xxx xxx xxx", ["all over", "loaded sector"]),
        ("xxx xxx xxx", "xxx xxx xxx", ["all over"]),
        ("xxx xxx xxx", "... .x. ...", []),
        (NONE, "xxx xxx ...", ["all over", "loaded sector"]),
        (NONE, "xx. ... .xx", ["loaded sector", "both ends"]),
        (NONE, "x.. ... ..x", ["opposite corners"]),
        (NONE, "..x .x. x..", ["loaded sector", "opposite corners"]),
        (NONE, "x.. x.. x..", ["at the joint"]),
        ("..x ..x ..x", "..x ..x ..x", ["at the joint"]),
        (".x. .x. ...", NONE, ["unloaded half"]),
        ("xxx ... ...", "xxx ... ...", ["one end"]),
        (".x. ... .x.", NONE, ["unloaded half", "both ends"]),
        ("... ... x..", NONE, ["a spot", "unloaded half", "one end", "at the joint"]),
    ],
)
def test_a_pattern_has_its_names(upper: str, lower: str, said: list[str]) -> None:
    cells = cells_of(marked(upper, lower))
    assert list(where_of(cells, "lower")) == said
    assert list(where_of(cells, "lower", at_feed=True)) == ["at a feed or groove", *said]
    turned = cells_of(marked(lower, upper))
    assert list(where_of(turned, "upper")) == said, "the other half loaded, everything in the other half"


@pytest.mark.parametrize("loaded", ["upper", "lower"])
def test_left_and_right_and_the_two_ends_are_alike(loaded: Half) -> None:
    """Mirrored from side to side, or from end to end, a pattern has the same names."""
    sides, ends = {"left": "right", "right": "left"}, {"first": "second", "second": "first"}
    for pattern in (["lower first left"], ["upper first left", "upper second right"],
                    ["lower first crown", "lower first left"], list(CELLS)[:7]):  # fmt: skip
        for mirror in (sides, ends):
            other = [" ".join(mirror.get(word, word) for word in key.split()) for key in pattern]
            assert where_of(cells_of(other), loaded) == where_of(cells_of(pattern), loaded)


def test_there_are_eighteen_cells_and_no_other() -> None:
    assert len(CELLS) == 18
    with pytest.raises(InputError) as told:
        cells_of(["lower first crown", "lower outer crown", ""])
    assert [problem.typed for problem in told.value.problems] == ["lower outer crown", ""]
