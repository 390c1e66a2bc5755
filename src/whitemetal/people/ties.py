"""Accounts tied to somebody of an OpenID provider, by the provider's address and its own name for them."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from whitemetal.people.tables import TIE


def account_of(connection: Connection, issuer: str, subject: str) -> str:
    """The account of somebody of a provider, "" where none is tied."""
    wanted = select(TIE.c.account).where(TIE.c.issuer == issuer, TIE.c.subject == subject)
    return connection.execute(wanted).scalar() or ""


def issuer_of(connection: Connection, account: str) -> str:
    """The provider an account is tied to, "" where it is to none."""
    return connection.execute(select(TIE.c.issuer).where(TIE.c.account == account)).scalar() or ""


def issuers(connection: Connection) -> dict[str, str]:
    """The provider of every account that is tied, by account."""
    return {row.account: row.issuer for row in connection.execute(select(TIE.c.account, TIE.c.issuer))}


def tie(connection: Connection, issuer: str, subject: str, account: str) -> None:
    """Tie an account to somebody; neither is tied yet."""
    connection.execute(insert(TIE).values(issuer=issuer, subject=subject, account=account))


def untie(connection: Connection, account: str) -> bool:
    """Let go of the tie of an account. False when there is none."""
    return connection.execute(delete(TIE).where(TIE.c.account == account)).rowcount == 1
