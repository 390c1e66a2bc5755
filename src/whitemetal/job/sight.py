"""Who had seen what: the order of entries by their links (``prev`` and ``after``), never by a clock.

An entry's *clock* says, device by device, up to which number its writer had seen that device's chain; it
counts the entry itself. A was before B when B's clock reaches A; two entries that do not reach each other
were written unaware of each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from whitemetal.job.entry import Entry

Clock = Mapping[str, int]
"""Device: the highest ``seq`` of its chain that was seen."""


@dataclass(frozen=True)
class Stamp:
    """Where an entry stands among the others: its id, its place in its device's chain, and its clock."""

    id: str
    device: str
    seq: int
    clock: Clock

    @cached_property
    def rank(self) -> tuple[int, str]:
        """Sorts entries so that one that was seen comes before the one that saw it; ties by id.

        The sum of a clock grows along every link, so this order never contradicts the links.
        """
        return sum(self.clock.values()), self.id

    def saw(self, other: Stamp) -> bool:
        """Whether the writer of this entry had seen the other one (an entry has seen itself)."""
        return self.clock.get(other.device, 0) >= other.seq


def unaware(one: Stamp, other: Stamp) -> bool:
    """Whether neither writer had seen the other's entry."""
    return not one.saw(other) and not other.saw(one)


def clock_of(device: str, seq: int, parents: Iterable[Clock]) -> dict[str, int]:
    """The clock of an entry from the clocks of the entries it links to."""
    clock: dict[str, int] = {}
    for parent in parents:
        for name, reached in parent.items():
            clock[name] = max(reached, clock.get(name, 0))
    clock[device] = max(seq, clock.get(device, 0))
    return clock


def parents_of(entry: Entry) -> tuple[str, ...]:
    """Digests of the entries this one links to."""
    return ((entry.prev,) if entry.prev else ()) + entry.after


def stamped(entries: Iterable[Entry]) -> list[tuple[Entry, Stamp]]:
    """The entries in the order of their links, each with its stamp; whatever order they arrive in.

    The same id twice counts once. A link to an entry that is not among them reaches nothing.
    """
    unique = _unique(entries)
    by_digest = {entry.digest: entry for entry in unique}
    clocks: dict[str, dict[str, int]] = {}
    for entry in unique:
        _reckon(entry, by_digest, clocks)
    pairs = [(entry, Stamp(entry.id, entry.device, entry.seq, clocks[entry.digest])) for entry in unique]
    return sorted(pairs, key=lambda pair: pair[1].rank)


def _unique(entries: Iterable[Entry]) -> list[Entry]:
    found: dict[str, Entry] = {}
    for entry in entries:
        if entry.id not in found or entry.digest < found[entry.id].digest:
            found[entry.id] = entry
    return list(found.values())


def _reckon(entry: Entry, by_digest: Mapping[str, Entry], clocks: dict[str, dict[str, int]]) -> None:
    """Fill in the clock of ``entry`` after those of everything it links to, without recursion."""
    waiting, begun = [entry], set()
    while waiting:
        current = waiting[-1]
        if current.digest in clocks:
            waiting.pop()
            continue
        links = [by_digest[digest] for digest in parents_of(current) if digest in by_digest]
        unknown = [link for link in links if link.digest not in clocks]
        if unknown and current.digest not in begun:
            begun.add(current.digest)
            waiting.extend(unknown)
            continue
        known = [clocks[link.digest] for link in links if link.digest in clocks]
        clocks[current.digest] = clock_of(current.device, current.seq, known)
        waiting.pop()
