"""What a page needs of the plant's provider: whether there is one, and how somebody confirms who they are."""

from __future__ import annotations

from starlette.requests import Request

from whitemetal.desk import Desk, by_provider, ties
from whitemetal.desk.provider import Provider
from whitemetal.desk.signing_in import Visitor


def provider_of(request: Request) -> Provider | None:
    """The plant's provider, None where there is none, or nothing can be written."""
    found: Provider | None = request.app.state.provider
    desk: Desk = request.app.state.desk
    return found if desk.writable else None


def visitor_at(request: Request) -> Visitor | None:
    """Who is signed in."""
    found: Visitor | None = getattr(request.state, "visitor", None)
    return found


def way_to_confirm(request: Request, back: str) -> dict[str, str] | None:
    """For somebody without a password, who confirms at the provider: its name, the page to come back to, and
    when they did, "" if not yet. None for everybody else, also who signs with a key of their own."""
    provider, visitor = provider_of(request), visitor_at(request)
    if provider is None or visitor is None or visitor.account.password or visitor.session is None:
        return None
    desk: Desk = request.app.state.desk
    if ties.issuer_of(desk, visitor.account.id) != provider.settings.issuer:
        return None
    return {"name": provider.settings.name, "back": back, "at": by_provider.confirmed(desk, visitor)[11:16]}
