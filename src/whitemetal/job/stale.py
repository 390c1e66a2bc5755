"""Which checks no longer count: a check belongs to the state of the fit at which it was read.

A change of the fit that touches what the check measures (`fit_matrix`) makes it stale unless every live
reading of the check was written by somebody who had seen that change. Clock time plays no part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.gauging.contract import Method
from whitemetal.job.account import Account, Written
from whitemetal.job.fit_matrix import things_of, touched, touches
from whitemetal.job.sight import unaware
from whitemetal.words import say


def touched_by(change: Written) -> frozenset[str]:
    """What a change of the fit touches, by its words; the loaded half as it was when it was written."""
    return touched(change.text("what"), change.text("half"), change.text("joint"), change.text("loaded"))


def changes_against(
    readings: Sequence[Written], changes: Sequence[Written], method: Method | None
) -> Iterator[tuple[Written, bool]]:
    """The changes of the fit that make a check of this method with these readings stale.

    With each: whether some reading and the change were written unaware of each other.
    """
    floor, things = _floor(readings), things_of(method)
    for change in changes:
        if not touches(touched_by(change), things):
            continue
        if floor is not None and floor.get(change.stamp.device, 0) < change.stamp.seq:
            yield change, any(unaware(change.stamp, reading.stamp) for reading in readings)


def no_longer_as_found(account: Account, method: Method | None) -> list[Written]:
    """What was done to the bearing since it was found: that it was stripped, and the live changes of the fit
    that touch what a check of this method measures. In the order of the links."""
    things = things_of(method)
    done = [*account.all("stripped/1")]
    done += [one for one in account.all("fit/1") if touches(touched_by(one), things)]
    return sorted((one for one in done if not account.strikes_of(one.id)), key=lambda one: one.stamp.rank)


def _floor(readings: Sequence[Written]) -> Mapping[str, int] | None:
    """Device by device, how far every reading had seen; None without readings."""
    if not readings:
        return None
    floor = dict(readings[0].stamp.clock)
    for reading in readings[1:]:
        clock = reading.stamp.clock
        floor = {device: min(reached, clock.get(device, 0)) for device, reached in floor.items()}
    return floor


def in_words(change: Written) -> str:
    """A change of the fit in words: what, which half, which joint, and what was written about it; also the
    note that the bearing was stripped."""
    where = [part for part in (change.text("half"), change.text("joint")) if part]
    text = change.text("text").strip()
    name = (change.text("what") or say("ledger.stripped")) + (f" ({', '.join(where)})" if where else "")
    return f"{name}: {text}" if text else name


def sentence(change: Written) -> str:
    """Why a check no longer counts."""
    return say("ledger.stale", what=in_words(change), by=change.by, at=change.at[:10])


def unaware_sentence(change: Written) -> str:
    """The same change, entered by somebody who had not seen the readings, nor their writer the change."""
    return say("ledger.unaware_fit", what=in_words(change), by=change.by)
