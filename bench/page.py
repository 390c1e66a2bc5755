"""A bench page shown and one reading saved, against a bare page and one bare commit; alone and among many."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from bench import clock, mill, served


class Visit:
    """One browser at one bench."""

    def __init__(self, port: int, job: str, check: str) -> None:
        self.client = served.Client(port, {"whitemetal_name": "bench"})
        self.at = f"/jobs/{job}/checks/{check}"
        self.count = itertools.count(1)

    def show_and_save(self) -> None:
        """Show the page and measure one place again, as a person who doubts it would."""
        self.client.get(self.at)
        text = f"0.20{next(self.count) % 5} mm"
        reading = {"place": "DE top", "text": text, "mode": "again", "instrument": "M-7"}
        self.client.post(f"{self.at}/readings", reading)

    def show(self) -> None:
        """Show the page alone."""
        self.client.get(self.at)


@contextmanager
def bench(folder: Path, name: str, *, entries: int = 0, other_jobs: int = 0) -> Iterator[Visit]:
    """A served record with one job at the bench."""
    where = folder / f"{name}.sqlite3"
    job, check = mill.make(where, entries=entries, other_jobs=other_jobs)
    with served.server("whitemetal", where) as port:
        yield Visit(port, job, check)


def rows() -> list[clock.Row]:
    """The bench page against a bare page; with many entries; in a small and a large plant."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as open_:
        folder = Path(name)
        bare = served.Client(open_.enter_context(served.server("bare", folder / "bare.sqlite3")))
        few = open_.enter_context(bench(folder, "few"))
        many = open_.enter_context(bench(folder, "many", entries=10_000))
        small = open_.enter_context(bench(folder, "small", other_jobs=1))
        large = open_.enter_context(bench(folder, "large", other_jobs=2_500))

        def bare_page() -> None:
            bare.get("/")
            bare.post("/", {"text": "0.243 mm"})

        against = ("bare page and one bare commit", bare_page)
        crowded = "the same, 10,000 entries in the job"
        return [
            clock.compare("bench page and one reading", few.show_and_save, *against, turns=40, under=5),
            clock.compare(crowded, many.show_and_save, *against, turns=40, under=5),
            clock.compare(
                "the same job in a plant of 10,000 entries", large.show_and_save,
                "in a plant of 10", small.show_and_save, turns=40, under=1.2,
            ),
        ]  # fmt: skip
