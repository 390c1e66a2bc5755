"""Starlette's test client, which warns on import that another HTTP library is coming."""

from __future__ import annotations

import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore", DeprecationWarning)
    warnings.simplefilter("ignore", UserWarning)
    from starlette.testclient import TestClient

__all__ = ["TestClient"]
