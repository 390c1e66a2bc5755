"""A run-in in the format ``whitemetal.run_in/1``."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from whitemetal.job.run_in import LogShown, PlaceShown, RunShown
from whitemetal.job.shown import stands_on


def run_json(shown: RunShown) -> dict[str, Any]:
    """A run-in as plain JSON values, times in UTC, SI."""
    return {
        "format": "whitemetal.run_in/1",
        "run": shown.run.run, "what": shown.run.what, "start": shown.run.start, "standing": shown.standing,
        "ambient_K": shown.ambient, "contradictions": list(shown.run.contradictions),
        "stale": list(shown.run.stale),
        "values": [
            {"what": one.what, "point": one.point, "at": _utc(one.at), "time_s": one.time, "value": one.value,
             "unit": "m/s" if one.what == "vibration" else "K", "text": one.text, "source": one.source,
             "entry": one.entry}
            for one in shown.values
        ],
        "unread": [{"entry": one.reading.entry, **vars(one.problem)} for one in shown.unread],
        "places": [_place_json(one) for one in shown.places],
        "warned": [{"where": where, **vars(one)} for where, one in shown.warned],
        "points": [vars(one) for one in shown.points],
        "logs": [_log_json(one) for one in shown.logs],
    }  # fmt: skip


def _utc(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


def _place_json(place: PlaceShown) -> dict[str, Any]:
    found = place.watched.forecast
    limits = {
        name: None if limit is None else {"maximum_K": limit.maximum, "source": stands_on(limit)}
        for name, limit in (("alarm", place.alarm), ("trip", place.trip))
    }
    ahead = found and {
        "settles_K": found.settles, "low_K": found.low, "high_K": found.high, "when_s": found.when,
        "when_low_s": found.when_low, "when_high_s": found.when_high, "probability": 0.95,
    }  # fmt: skip
    return {
        "where": place.where, "point": place.point, **limits,
        "last_K": place.last.temperature, "last_s": place.last.time,
        "slope_K_per_s": place.watched.slope, "settled": place.watched.settled, "forecast": ahead,
    }  # fmt: skip


def _log_json(log: LogShown) -> dict[str, Any]:
    read_so = log.read
    return {
        "log": log.log.log, "file": log.log.file, "read_as": log.log.said, "struck": log.log.struck,
        "problems": [vars(one) for one in log.problems],
        "lines": [] if read_so is None else [
            {"number": one.number, "fate": one.fate, "why": one.why} for one in read_so.lines
        ],
        "cells": [] if read_so is None else [vars(one) for one in read_so.cells],
        "notes": [] if read_so is None else list(read_so.notes),
    }  # fmt: skip
