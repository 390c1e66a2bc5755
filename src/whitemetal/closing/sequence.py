"""In which order the nuts of a cap or a round cover are tightened and loosened.

Bolts are numbered clockwise as seen from above (or from outside a round cover). On a cap the first is the
left one at the drive end; the left row is counted to the other end and the right row back.

Two rows (a cap): from the middle pair diagonally outwards, so that the joint closes from the middle and is
never bridged; four bolts are taken across the diagonals (common practice). On a circle: the cross pattern,
opposite bolts after each other and every next pair as far from the last as it can be; for 4, 6, 8, 12 and 16
bolts that is the pattern printed with ASME PCC-1 (values from memory). It is for circles only: on two rows
of six or more it would pull the ends down before the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Layout = Literal["two rows", "circle"]
FEWEST, MOST = 2, 32
"""Numbers of bolts that a sequence is made for."""

PASSES = (0.3, 0.6, 1.0)
"""Shares of the final torque, pass by pass, where no maker says others; a last round at the final torque
follows. Common practice."""

LOOSENING = (0.7, 0.0)
"""Shares of the final torque that are left after each step of loosening: two steps, some 30 % first. Common
practice: released all at once, the crush of the shells springs the cap unevenly."""


@dataclass(frozen=True)
class Bolt:
    """number: as drawn on the cap. side: -1 left, +1 right, 0 on a circle. along: 0 at the first end of the
    row, 1 at its last; on a circle the share of a turn from the first bolt."""

    number: int
    side: int
    along: float


@dataclass(frozen=True)
class Pass:
    """One round over all the nuts. share: of the final torque; torque [N m], None when no torque is known.
    last: the closing round in which no nut may move."""

    number: int
    share: float
    torque: float | None
    order: tuple[int, ...]
    last: bool = False


@dataclass(frozen=True)
class Sequence:
    """layout, bolts by number, the passes of tightening and of loosening, and where the pattern is from."""

    layout: Layout
    bolts: tuple[Bolt, ...]
    passes: tuple[Pass, ...]
    loosening: tuple[Pass, ...]
    source: str


def sequence(
    count: int, layout: Layout = "two rows", torque: float | None = None, shares: tuple[float, ...] = PASSES
) -> Sequence:
    """Order and passes for ``count`` bolts; torque: the final value [N m]; shares of it, pass by pass.

    Raises InputError outside 2 to 32 bolts.
    """
    if not FEWEST <= count <= MOST:
        raise InputError(Problem("count", str(count), say("closing.count", fewest=FEWEST, most=MOST)))
    bolts = _rows(count) if layout == "two rows" else _circle(count)
    order = row_order(count) if layout == "two rows" else circle_order(count)
    rounds = [Pass(i, share, _times(torque, share), order) for i, share in enumerate(shares, start=1)]
    around = tuple(range(1, count + 1)) if layout == "circle" else order
    rounds.append(Pass(len(shares) + 1, 1.0, torque, around, last=True))
    back = tuple(reversed(order))
    looser = [Pass(i, left, _times(torque, left), back) for i, left in enumerate(LOOSENING, start=1)]
    source = say("closing.rows_source" if layout == "two rows" else "closing.circle_source")
    return Sequence(layout, bolts, tuple(rounds), tuple(looser), source)


def _times(torque: float | None, share: float) -> float | None:
    return None if torque is None else torque * share


def circle_order(count: int) -> tuple[int, ...]:
    """Cross pattern on a circle: each bolt is followed by the opposite one; odd counts go by the longest
    step that reaches every bolt, which is just under half way round."""
    if count == 1:
        return (1,)
    if count % 2:
        step = (count - 1) // 2
        return tuple(1 + (i * step) % count for i in range(count))
    half = count // 2
    return tuple(number for first in circle_order(half) for number in (first, first + half))


def row_order(count: int) -> tuple[int, ...]:
    """From the middle pair diagonally outwards; every bolt is followed by one of the other row where one is
    left, as near to its diagonal as there is."""
    bolts = list(_rows(count))
    order: list[int] = []
    last: Bolt | None = None
    while bolts:
        chosen = min(bolts, key=lambda bolt: _after(bolt, last, bolts))
        bolts.remove(chosen)
        order.append(chosen.number)
        last = None if last is not None and chosen.side != last.side else chosen
    return tuple(order)


def _after(bolt: Bolt, last: Bolt | None, left: list[Bolt]) -> tuple[float, ...]:
    """Sort key of the next bolt: the diagonal partner of the last one, else the innermost on the left."""
    out = round(abs(bolt.along - 0.5), 9)
    if last is None:
        innermost = min(round(abs(one.along - 0.5), 9) for one in left)
        return (out > innermost, bolt.side, bolt.along)
    return (bolt.side == last.side, round(abs(bolt.along - (1.0 - last.along)), 9), out)


def _rows(count: int) -> tuple[Bolt, ...]:
    """Two rows, the left one with the odd bolt; numbered clockwise from the left at the first end."""
    on_left = (count + 1) // 2
    on_right = count - on_left
    left = [Bolt(i + 1, -1, _share(i, on_left)) for i in range(on_left)]
    right = [Bolt(on_left + i + 1, 1, 1.0 - _share(i, on_right)) for i in range(on_right)]
    return (*left, *right)


def _share(index: int, count: int) -> float:
    return 0.5 if count == 1 else index / (count - 1)


def _circle(count: int) -> tuple[Bolt, ...]:
    return tuple(Bolt(i + 1, 0, i / count) for i in range(count))
