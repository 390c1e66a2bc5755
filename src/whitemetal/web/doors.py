"""What a program may send: a true example for every POST under ``/api/1/``, and the description made of them.

An example stands as it may be sent; what depends on the record (an entry, a check, a run, the heads seen) is
shown by a form of words in angle brackets.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from whitemetal.version import VERSION

Json = dict[str, Any]
API = "/api/1"
JOB = API + "/jobs/{job}"
CHECK = JOB + "/checks/{check}"
BEARING = API + "/bearings/{book}"
ENTRY = "<id of an entry>"
HEADS = ["<head>"]

CARD = """\
format = "whitemetal.card/1"

[machine]
tag = "TM-52-P01"
name = "White water pump (invented)"
kind = "pump"
speed = "1480 rpm"
view_from = "coupling end"

[bearing]
position = "outboard"
journal_diameter = "120.00 mm"
length = "100 mm"
ends = ["coupling end", "free end"]
match_mark_end = "coupling end"
lubrication = "ring-oiled"

[fasteners]
count = 2
size = "M24"
grade = "8.8"
"""
LOG = """\
time;white metal [degC]
03.02.2026 14:00:00;21,5
03.02.2026 14:01:00;21,9
03.02.2026 14:02:00;22,4
"""
TABLE = """\
date;job;as found;as left;hours
2008-04-02;W-17;0.310;0.200;41000
"""

DOORS: Mapping[str, Json] = {
    BEARING.replace("{book}", "new"): {"card": CARD},
    API + "/instruments": {
        "id": "M-11",
        "facts": {"name": "micrometer 0 to 25 mm", "mpe": "0.004 mm", "calibration_due": "2027-03-01",
                  "anvil": "ball"},
    },
    API + "/procedure": {"text": 'format = "whitemetal.procedure/1"\n', "replaces": []},
    API + "/openings/rule": {"months": "48", "risk": "5 %", "text": "agreed with the mill (invented)"},
    BEARING + "/jobs": {"number": "4713", "title": "opened after a hot bearing"},
    BEARING + "/births": {
        "method": "<method>", "place": "<place>", "text": "0.5 mm", "source": "stamped on the shell",
    },
    BEARING + "/births/strikes": {"entry": ENTRY, "why": "misread"},
    BEARING + "/paper": {
        "table": TABLE, "unit": "mm", "basis": "diametral", "dates": "year-month-day",
        "decimals": "as it stands", "temperature unit": "degC", "method": "wire",
        "source": "binder 4 (invented)",
    },
    BEARING + "/life/counters": {"date": "2026-03-02", "hours": "57000", "starts": "12"},
    BEARING + "/life/shells": {"date": "2026-03-02", "shells": "pair 7", "why": "new"},
    BEARING + "/life/strikes": {"entry": ENTRY, "why": "of another machine"},
    BEARING + "/torque": {
        "revision": "<digest of the newest card>", "size": "M24", "grade": "8.8", "lubricant": "oiled",
        "housing": "grey cast iron GJL-250", "engagement": "36 mm", "share": "75 %", "grip": "120 mm",
        "torque": "600 N m", "signed_by": "Eva Invented",
    },
    JOB + "/checks": {"method": "wire", "purpose": "as found"},
    CHECK + "/readings": {
        "place": "<place>", "text": "0.225", "unit": "mm", "squeeze": 1, "instrument": "M-07",
    },
    CHECK + "/facts": {"key": "wire_diameter", "text": "0.40 mm"},
    CHECK + "/strikes": {"entry": ENTRY, "why": "misread"},
    CHECK + "/rule": {"rule": "simple acceptance", "why": "agreed with the owner"},
    JOB + "/holds": {"hold": "tightening", "state": "closed", "text": "420 N m"},
    JOB + "/fit": {"what": "shim", "half": "", "joint": "shell joint", "text": "0.05 mm out a side"},
    JOB + "/adopt": {"card": "<digest of a card>", "reason": "maker's letter (invented)"},
    JOB + "/strikes": {"entry": ENTRY, "why": "not done after all"},
    JOB + "/notes": {"text": "oil black"},
    JOB + "/stripped": {"text": ""},
    JOB + "/missed": {"what": "as-found alignment", "why": "coupling was apart"},
    JOB + "/findings": {"look": "smeared", "where": ["lower first crown"], "at_feed": "yes", "text": ""},
    JOB + "/known": {"fact": "dirt", "says": "yes", "how": "grit in the sump"},
    JOB + "/procedure": {"step": "isolate.permit", "state": "done", "text": "PTW-7"},
    JOB + "/run-in/begin": {"what": "coupled", "start": "2026-02-03T13:00:00Z", "ambient": "21 degC"},
    JOB + "/run-in/readings": {
        "run": "<run>", "what": "metal", "at": "2026-02-03T13:05:00Z", "text": "31", "unit": "degC",
    },
    JOB + "/run-in/points": {"run": "<run>", "point": "ring_turning", "state": "yes", "text": ""},
    JOB + "/run-in/logs": {"run": "<run>", "file": "logger 4.csv", "text": LOG},
    JOB + "/run-in/lines": {"log": "<log>", "line": 2, "why": "the probe was held in the hand"},
    JOB + "/run-in/read": {
        "log": "<log>", "separator": "semicolon", "decimal": "comma", "time": [1], "form": "day.month.year",
        "zone": "Europe/Berlin", "day": "", "doubled": "",
        "channels": [{"column": 2, "what": "metal", "unit": "degC", "point": ""}],
    },
    JOB + "/concession": {
        "reason": "no shells in store until October", "restrictions": "half load; metal below 70 degC",
        "until": "2126-10-01", "engineer": "Eva Invented",
    },
    JOB + "/sign": {"part": "did", "leaves": "concession"},
    JOB + "/sign/withdraw": {"entry": ENTRY, "why": "the shells came"},
    JOB + "/sign/reopen": {"why": "a reading was mistyped"},
}  # fmt: skip
"""By address: what is sent. Every one also takes ``seen`` (the heads its writer had before the eyes) and
``name`` (who writes, where nobody is signed in)."""

FILES: Mapping[str, Json] = {
    JOB + "/photographs": {
        "multipart/form-data": {
            "schema": {
                "type": "object", "required": ["photograph"],
                "properties": {
                    "photograph": {"type": "array", "items": {"type": "string", "format": "binary"}},
                    "taken": {"type": "array", "items": {"type": "string"}},
                    **{name: {"type": "string"} for name in ("of", "place", "caption", "name", "seen")},
                },
            }
        }
    },
    API + "/bring": {"application/zip": {"schema": {"type": "string", "format": "binary"}}},
}  # fmt: skip
"""By address: where a file is sent and no JSON."""

WORDS = {
    template: tuple(
        path.rpartition("/")[2] for path in DOORS
        if path.startswith(template[: -len("{what}")]) and path.count("/") == template.count("/")
    )
    for template in (BEARING + "/life/{what}", JOB + "/run-in/{what}")
} | {JOB + "/{what}": ("holds", "fit", "adopt", "strikes", "notes", "stripped", "missed")}  # fmt: skip
"""Addresses whose last word says what is kept, with the words."""

SENT_AGAIN: Json = {
    "name": "Idempotency-Key", "in": "header", "required": False,
    "description": "Sent again with the same key, the same request changes nothing; another text under it is "
    "refused (422).",
    "schema": {"type": "string", "pattern": '^"?[A-Za-z0-9_-]{8,64}"?$'},
    "example": "3f1c1f0e-2a51-4c7e-9f2b-6a1d0c9b8e77",
}  # fmt: skip
REFUSED: Json = {
    "type": "object", "required": ["kept", "problem", "problems"],
    "properties": {
        "kept": {"const": False}, "problem": {"type": "string"},
        "problems": {
            "type": "array",
            "items": {
                "type": "object", "required": ["field", "typed", "expected"],
                "properties": {
                    "field": {"type": "string"}, "typed": {"type": "string"}, "expected": {"type": "string"},
                    "line": {"type": ["integer", "null"]},
                },
            },
        },
    },
    "example": {
        "kept": False, "problem": "why: expected a reason",
        "problems": [{"field": "why", "typed": "", "expected": "a reason", "line": None}],
    },
}  # fmt: skip
"""How everything that is refused is answered."""

_REFUSALS = {
    "401": "nobody is signed in", "403": "not for this account", "404": "not there", "409": "to be asked",
    "422": "refused, with every problem", "503": "the record cannot be written",
}  # fmt: skip


def described(app: FastAPI) -> Json:
    """The description of the API: FastAPI's own, with what a program sends, examples and refusals."""
    if app.openapi_schema is None:
        made = get_openapi(title=app.title, version=VERSION, routes=app.routes)
        paths: Json = {}
        for path, operations in made["paths"].items():
            if path.startswith(API + "/"):
                paths |= _spread(path, operations)
        for path, operations in paths.items():
            for method, operation in operations.items():
                _complete(path, method, operation)
        made["paths"] = paths
        made.setdefault("components", {}).setdefault("schemas", {})["Refused"] = REFUSED
        app.openapi_schema = made
    return app.openapi_schema


def _spread(path: str, operations: Json) -> Json:
    """An address whose last word says what is kept, as one address a word."""
    if path not in WORDS:
        return {path: operations}
    return {path.replace("{what}", word): _worded(operations, word) for word in WORDS[path]}


def _worded(operations: Json, word: str) -> Json:
    return {
        method: {
            **one, "operationId": f"{one['operationId']}_{word}",
            "parameters": [each for each in one.get("parameters", []) if each["name"] != "what"],
        }
        for method, one in operations.items()
    }  # fmt: skip


def _complete(path: str, method: str, operation: Json) -> None:
    refused = {"application/json": {"schema": {"$ref": "#/components/schemas/Refused"}}}
    answers = operation["responses"] = {
        **operation.get("responses", {}),
        **{status: {"description": text, "content": refused} for status, text in _REFUSALS.items()},
    }
    if method != "post":
        return
    operation["parameters"] = [*operation.get("parameters", []), SENT_AGAIN]
    content = FILES.get(path) or {
        "application/json": {"schema": _schema(DOORS[path]), "example": _sent(path)}
    }
    operation["requestBody"] = {"required": True, "content": content}
    answers["201"] = {**answers["200"], "description": "kept"}


def _sent(path: str) -> Json:
    return {**DOORS[path], "seen": HEADS, "name": "Ada Invented"}


def _schema(example: Json) -> Json:
    """The shape of an example; nothing more may be relied upon than that the fields are of these kinds."""
    return {"type": "object", "properties": {name: _kind(one) for name, one in example.items()} | {
        "seen": {"type": "array", "items": {"type": "string"}}, "name": {"type": "string", "maxLength": 120},
    }}  # fmt: skip


def _kind(value: Any) -> Json:
    if isinstance(value, dict):
        return {"type": "object", "additionalProperties": {"type": "string"}}
    if isinstance(value, list):
        return {"type": "array", "items": _kind(value[0]) if value else {"type": "string"}}
    return {"type": "integer" if isinstance(value, int) else "string"}


def door_of(route: str) -> tuple[str, ...]:
    """The addresses described for a route's own."""
    return tuple(re.sub(r"\{what\}", word, route) for word in WORDS[route]) if route in WORDS else (route,)
