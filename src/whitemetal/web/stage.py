"""One stage of a job as its page lists it; apart from the list, so that the rooms that give one may import
it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Standing = Literal["done", "open", "attention"]


@dataclass(frozen=True)
class Stage:
    """key: its own word in addresses. title, said: as shown. href: its page. stands: "attention" where a
    person must look now."""

    key: str
    title: str
    said: str
    href: str
    stands: Standing
