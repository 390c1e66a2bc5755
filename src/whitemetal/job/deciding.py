"""Which check speaks for a point: the one measured last by the links, never by a clock.

A check is older than another when some reading of the other was written by somebody who had seen everything
measured in the first. Of two checks that are not older than each other both speak. One that no longer counts
speaks only where no other does, and nothing is ever closed by it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from whitemetal.gauging.contract import Method
from whitemetal.job.sight import Stamp


@dataclass(frozen=True)
class Taken:
    """What was measured in a check. last: of each device the last of its live readings and measured facts."""

    check: str
    speaks_for: str
    stale: bool
    last: tuple[Stamp, ...]

    def saw(self, other: Stamp) -> bool:
        """Whether something in it was measured by somebody who had seen an entry."""
        return any(mine.saw(other) for mine in self.last)

    def after(self, other: Taken) -> bool:
        """Whether somebody measured in it who had seen all that was measured in the other."""
        return any(all(mine.saw(theirs) for theirs in other.last) for mine in self.last)


def speaks_for(method: Method) -> str:
    """The point of the order of trust that a method proves, else its own key."""
    return method.proves or method.key


def last_of(stamps: Sequence[Stamp]) -> tuple[Stamp, ...]:
    """Of each device its last entry among these."""
    last: dict[str, Stamp] = {}
    for stamp in stamps:
        if stamp.device not in last or stamp.seq > last[stamp.device].seq:
            last[stamp.device] = stamp
    return tuple(last[device] for device in sorted(last))


def deciding(taken: Sequence[Taken]) -> Mapping[str, tuple[str, ...]]:
    """The checks that speak for each point, among those in which something was measured."""
    found: dict[str, tuple[str, ...]] = {}
    for point in sorted({one.speaks_for for one in taken}):
        mine = [one for one in taken if one.speaks_for == point and one.last]
        counting = [one for one in mine if not one.stale] or mine
        newest = [one for one in counting if not any(other.after(one) for other in counting if other != one)]
        if newest:
            found[point] = tuple(one.check for one in newest)
    return found
