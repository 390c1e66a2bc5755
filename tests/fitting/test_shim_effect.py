"""The table of what a shim does, by the joint it lies in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.gauging.build import card
from whitemetal.card import Joint
from whitemetal.card.joint import ShimSits
from whitemetal.fitting.shim_effect import EFFECTS, effect_of, joints_for_shims
from whitemetal.job.fit_matrix import JOINTS, touched

TABLE = [
    # shim in, clearance, crush: derived from geometry. Between the shell halves the upper one is lifted and
    # its back pressed harder into the cap; in the housing joint the cap is held off the shell.
    ("shell joint", 1.0, 1.0),
    ("housing joint", 0.0, -1.0),
    ("both joints", 1.0, 0.0),
    ("lined cap joint", 1.0, None),
]


@pytest.mark.parametrize(("joint", "clearance", "crush"), TABLE)
def test_the_table_is_that_of_geometry(joint: str, clearance: float, crush: float | None) -> None:
    assert (effect_of(joint).clearance, effect_of(joint).crush) == (clearance, crush)


def test_both_joints_is_the_sum_of_the_two() -> None:
    shell, housing, both = (EFFECTS[joint] for joint in ("shell joint", "housing joint", "both joints"))
    assert both.clearance == shell.clearance + housing.clearance
    assert (both.crush, shell.crush, housing.crush) == (0.0, 1.0, -1.0)


def test_every_joint_that_can_be_named_has_its_effect() -> None:
    assert set(EFFECTS) == set(JOINTS) - {""}


@pytest.mark.parametrize("joint", list(EFFECTS))
def test_what_a_shim_moves_is_what_goes_stale(joint: str) -> None:
    """And the clearance goes stale with the crush, since it is always taken after it."""
    effect = EFFECTS[joint]
    moved = {"clearance"} | ({"crush"} if effect.crush else set())
    assert touched("shim", joint=joint) == moved


@pytest.mark.parametrize(
    ("sits", "joints"),
    [
        ("shell joint", ("shell joint",)),
        ("housing joint", ("housing joint",)),
        ("both", ("shell joint", "housing joint")),
        ("lined cap joint", ("lined cap joint",)),
        ("nowhere", ()),
    ],
)
def test_the_card_says_where_shims_may_lie(sits: ShimSits, joints: tuple[str, ...]) -> None:
    assert joints_for_shims(card(joint=Joint("shims", 0.1e-3, 0.1e-3, sits))) == joints
    gasket = Joint("gasket", 0.1e-3, 0.1e-3, sits)
    assert joints_for_shims(replace(card(), joint=gasket)) == ()
