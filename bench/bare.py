"""The least a page and a saved row can cost with the same framework: what the bench page is measured against.

One route renders one small template; the other writes one row in one transaction, with the same journal and
the same care for the disk (WAL, ``synchronous=FULL``) as the product's record.
"""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa
from fastapi import FastAPI, Request
from jinja2 import Environment
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, JSONResponse, Response

PAGE = "<!doctype html><html lang=en><title>{{ title }}</title><h1>{{ title }}</h1><p>{{ count }} rows</html>"


def make_app(where: Path) -> FastAPI:
    """The application over a SQLite file at ``where``."""
    app = FastAPI(docs_url=None, redoc_url=None)
    engine = sa.create_engine(f"sqlite:///{where}")
    with engine.begin() as first:
        first.exec_driver_sql("PRAGMA journal_mode=WAL")
        first.exec_driver_sql("CREATE TABLE row (id INTEGER PRIMARY KEY, text TEXT NOT NULL)")
    template = Environment(autoescape=True).from_string(PAGE)

    @app.get("/")
    def show() -> Response:
        return HTMLResponse(template.render(title="A page", count=1))

    @app.post("/")
    async def keep(request: Request) -> Response:
        body = await request.json()
        return await run_in_threadpool(_keep, engine, str(body["text"]))

    return app


def _keep(engine: sa.Engine, text: str) -> Response:
    with engine.begin() as connection:
        connection.exec_driver_sql("PRAGMA synchronous=FULL")
        connection.exec_driver_sql("INSERT INTO row (text) VALUES (?)", (text,))
    return JSONResponse({"kept": True})
