"""A bearing's life as plain JSON values, in the format ``whitemetal.life/1``."""

from __future__ import annotations

import math
from typing import Any

from whitemetal.job.judgement_json import plain
from whitemetal.job.life import Life, Opened
from whitemetal.job.life_job import Figure

LIFE = "whitemetal.life/1"


def life_json(found: Life) -> dict[str, Any]:
    """Lengths [m], hours [s]; rates in m per s, or per start. What has no end or is not known is null."""
    wear, ahead = found.wear, found.next
    return {
        "format": LIFE,
        "against": found.against,
        "due": found.due.isoformat() if found.due is not None else None,
        "due_by": found.due_by,
        "risk": ahead.risk,
        "limit_m": found.limit,
        "limit_source": found.limit_said,
        "rate": wear.rate,
        "rate_u": _finite(wear.rate_u),
        "dof": _finite(wear.dof),
        "birge": wear.birge,
        "since": plain(wear.since) if wear.since is not None else None,
        "reached": ahead.reached,
        "low": ahead.low,
        "high": _finite(ahead.high),
        "open_by": ahead.open_by,
        "why_not": ahead.why,
        "said": list(found.said),
        "problems": list(found.problems),
        "openings": [_opened(one) for one in found.openings],
        "runs": [
            {
                "from": run.before, "to": run.after, "over": run.over, "change_m": run.change, "u_m": run.u,
                "counts": not run.note, "step": run.step, "note": run.note,
            }
            for run in wear.runs
        ],
    }  # fmt: skip


def _opened(one: Opened) -> dict[str, Any]:
    return {
        "name": one.name, "job": one.job, "day": one.day.isoformat(), "hours_s": one.hours,
        "starts": one.starts, "shells": one.shells, "renewed": one.renewed, "oil": one.oil,
        "transcribed": one.paper, "found": [_figure(each) for each in one.found],
        "left": [_figure(each) for each in one.left],
        "others": [
            {
                "of": each.of, "where": each.where, "purpose": each.purpose, "value": each.value, "u": each.u,
                "dimension": each.dimension,
            }
            for each in one.others
        ],
    }  # fmt: skip


def _figure(one: Figure) -> dict[str, Any]:
    return {
        "check": one.key, "title": one.title, "diametral_m": one.value, "u_m": one.u, "how": dict(one.how),
        "transcribed": one.paper, "as_typed": one.text, "source": one.source, "left_out": one.doubt,
    }  # fmt: skip


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
