"""The described API, asked by schemathesis with an account of every role: nothing breaks inside, and what a
role may not do it does not."""

from __future__ import annotations

import copy
import warnings
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from tests.attack.conftest import ROUNDS, Attacked
from whitemetal.people.roles import LEAVES, ROLES, Role
from whitemetal.web.doors import DOORS
from whitemetal.web.gate import need_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import schemathesis


def operations(attacked: Attacked) -> list[Any]:
    """Every operation the program describes, with its body; a job's file, which schemathesis cannot write, is
    attacked in tests/desk/test_job_file.py."""
    text = copy.deepcopy(attacked.app.openapi())
    text["paths"]["/api/1/bring"]["post"].pop("requestBody")
    described = schemathesis.openapi.from_dict(text)
    every: list[Any] = list(described.get_all_operations())
    return [found.ok() for found in every if found.ok() is not None]


def content_of(body: Any) -> dict[str, Any]:
    """A body as the client takes it: JSON where it is of plain values, bytes where it is a file."""
    if isinstance(body, bytes):
        return {"content": body}
    if isinstance(body, dict) and "photograph" in body:
        sent = body["photograph"] if isinstance(body["photograph"], list) else [body["photograph"]]
        words = {name: text for name, text in body.items() if isinstance(text, str)}
        return {
            "data": words,
            "files": [("photograph", ("x.jpg", one)) for one in sent if isinstance(one, bytes)],
        }
    return {"json": body} if isinstance(body, dict | list | str | int | float | bool) else {}


def test_everything_under_the_api_is_described(attacked: Attacked) -> None:
    found = {operation.path for operation in operations(attacked) if operation.path.startswith("/api/1/")}
    assert set(DOORS) <= found
    assert len(found) > 60
    assert "/api/1/jobs/{job}" in found


@pytest.mark.parametrize("role", ROLES)
def test_every_role_asks_everything(attacked: Attacked, role: Role) -> None:
    client, asked, bodies, wrong = attacked.client(role), [0], [0], []
    headers = {"origin": "http://testserver", "accept": "application/json"}
    for operation in operations(attacked):
        if not operation.path.startswith("/api/1/"):
            continue

        @settings(
            max_examples=3 * max(1, ROUNDS),
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(operation.as_strategy())
        def ask(case: Any) -> None:
            at, content = case.formatted_path, content_of(case.body)
            bodies[0] += bool(content)
            answer = client.request(case.method, at, params=case.query or None, headers=headers, **content)
            path = str(answer.request.url.copy_with(query=None).path)
            need, asked[0] = need_of(case.method, path), asked[0] + 1
            shut = need != "nothing" and need not in LEAVES[role]
            if answer.status_code >= 500 or (shut and answer.status_code not in (403, 404)):
                wrong.append((answer.status_code, case.method, at))

        ask()
    assert wrong == []
    assert asked[0] > 60 and bodies[0] > 60
