"""One step of a procedure, as generated and as the plant leaves it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Stage = Literal["prepare", "isolate", "as_found", "strip", "inspect", "close", "run_in", "sign"]
STAGES: tuple[Stage, ...] = (
    "prepare", "isolate", "as_found", "strip", "inspect", "close", "run_in", "sign",
)  # fmt: skip
"""In the order of the work. Common practice."""

Page = Literal["", "as-found", "close-up", "fit", "inspection", "photographs", "run-in", "sign"]


@dataclass(frozen=True)
class Caution:
    """A caution where it applies. rules: public rules it points to, "" where the maker's book is enough."""

    key: str
    text: str
    rules: str = ""


@dataclass(frozen=True)
class Changed:
    """What the plant's own procedure did to a step. was: its text before, "" where it was dropped or added.
    by: who answers for it; why: the reason given, "" where none was needed."""

    what: Literal["added", "dropped", "reworded"]
    was: str = ""
    by: str = ""
    why: str = ""


@dataclass(frozen=True)
class Step:
    """key: its own word in files and entries, "stage.word". why: half a sentence. hold: the work stops
    here until it is done. people: it protects people. trust: the point of the order of trust that closes it,
    "" where it is ticked. method, purpose: the check that records it. page: where else it is recorded.
    note: what must be noted when it is ticked, "" for nothing. changed: what the plant did to it, in order.
    """

    key: str
    stage: Stage
    text: str
    why: str
    cautions: tuple[Caution, ...] = ()
    hold: bool = False
    people: bool = False
    trust: str = ""
    method: str = ""
    purpose: str = ""
    page: Page = ""
    note: str = ""
    changed: tuple[Changed, ...] = ()

    @property
    def protected(self) -> bool:
        """Whether it cannot be dropped or reworded without somebody who answers for it."""
        return self.people or bool(self.trust)

    @property
    def short(self) -> str:
        """Its text up to the first stop."""
        stops = [at for at in (self.text.find(mark) for mark in ("; ", ". ", ": ")) if at > 0]
        return self.text[: min(stops)] if stops else self.text.rstrip(".")

    @property
    def dropped(self) -> Changed | None:
        """Who dropped it and why; None while it stands."""
        return next((one for one in self.changed if one.what == "dropped"), None)
