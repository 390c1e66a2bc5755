"""Roles by what people do, and what each may do."""

from __future__ import annotations

from typing import Literal

Role = Literal["look", "fit", "check", "engineer", "keeper"]
Leave = Literal["look", "write", "sign", "set limits", "keep people"]

ROLES: tuple[Role, ...] = ("look", "fit", "check", "engineer", "keeper")

LEAVES: dict[Role, frozenset[Leave]] = {
    "look": frozenset({"look"}),
    "fit": frozenset({"look", "write", "sign"}),
    "check": frozenset({"look", "write", "sign"}),
    "engineer": frozenset({"look", "write", "sign", "set limits"}),
    "keeper": frozenset({"look", "keep people"}),
}
"""What each role may do. A keeper keeps accounts and backups and writes nothing into a job."""

SECOND: tuple[Role, ...] = ("check", "engineer")
"""Roles that may sign second: that a job was checked."""


def may(roles: frozenset[Role], leave: Leave) -> bool:
    """Whether somebody with these roles may do this."""
    return any(leave in LEAVES[role] for role in roles)


def roles_of(text: str) -> frozenset[Role]:
    """Roles from their names, blank-separated; names that are none are left out."""
    named = text.split()
    return frozenset(role for role in ROLES if role in named)


def in_words(roles: frozenset[Role]) -> str:
    """The roles' names in their order."""
    return " ".join(role for role in ROLES if role in roles)
