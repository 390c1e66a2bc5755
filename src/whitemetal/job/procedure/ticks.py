"""What people ticked of a job's procedure, from its account."""

from __future__ import annotations

from whitemetal.job.account import Account, Written
from whitemetal.job.state import Tick

KIND = "step/1"


def ticks(account: Account) -> dict[str, tuple[Tick, ...]]:
    """What stands of every step's ticks; several where their writers did not know of each other."""
    return {
        step: tuple(_tick(one) for one in sorted(held, key=lambda one: one.stamp.rank))
        for step, held in sorted(account.slots(KIND, "").items())
        if held
    }


def _tick(one: Written) -> Tick:
    return Tick(one.text("step"), one.text("state"), one.text("text"), one.by, one.at, one.id)
