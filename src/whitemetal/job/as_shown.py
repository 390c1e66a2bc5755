"""The judgement as shown to whoever signs: words and figures as text, kept with the signature.

An old job shows what was signed, and beside it whatever recomputing finds different: another version of the
program, an instrument found bad since, a value of birth that was struck.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from whitemetal.job.by_quantity import in_words
from whitemetal.job.chain import Chain
from whitemetal.job.entry import text_digest
from whitemetal.job.judgement import Judgement
from whitemetal.job.signatures import Signature
from whitemetal.job.state import JobState
from whitemetal.units import clearance_step, show
from whitemetal.words import say

Shown = Mapping[str, Any]


def as_shown(
    state: JobState, chain: Chain, judgements: Mapping[str, Judgement], run_in: Sequence[str]
) -> dict[str, Any]:
    """What a person sees of a job before signing: the bearing's word, what is open, how the run-in stands (as
    of `run_in.run_in_lines`), every check with its word and figures. Texts only."""
    return {
        "bearing": chain.bearing,
        "open": list(chain.still_open),
        "run_in": list(run_in),
        "checks": [
            {
                "check": check, "title": judged.title, "purpose": state.checks[check].purpose,
                "verdict": judged.verdict, "stale": judged.stale, "figures": list(figures(judged)),
            }
            for check, judged in judgements.items()
        ],
    }  # fmt: skip


def shown_digest(shown: Shown) -> str:
    """What a page carries of it, so that nobody signs for another judgement than they were shown."""
    return text_digest(json.dumps(shown, sort_keys=True).encode())


def figures(judged: Judgement) -> Iterator[str]:
    """The results of a check, one a line, each with its uncertainty and the limit it is judged by."""
    if judged.clearance is not None:
        found, unit = judged.clearance, judged.unit
        size, spread = (_size(one, unit) for one in (found.diametral_m, found.expanded_m))
        yield say("signing.clearance", size=size, radial=_size(found.radial_m, unit), spread=spread)
        if judged.limits is not None:
            limit = judged.limits
            low, high = (_size(one, unit) for one in (limit.minimum_m, limit.maximum_m))
            yield say("signing.limit", low=low, high=high, rung=limit.rung, source=limit.source)
    for one in judged.assessed:
        for value in one.values:
            where = say("verdict.at", place=value.where) if value.where else ""
            found_text, spread = in_words(one, value.value), in_words(one, value.expanded)
            yield say("verdict.quantity", label=one.label, value=found_text, expanded=spread, where=where)
        if one.limit is not None:
            low, high = in_words(one, one.limit.minimum), in_words(one, one.limit.maximum)
            yield say("signing.limit", low=low, high=high, rung=one.limit.rung, source=one.limit.source)


def _size(value: float | None, unit: str) -> str:
    return "–" if value is None else show(value, unit, "length", step=clearance_step(unit))


def differences(signature: Signature, now: Shown, program: str) -> tuple[str, ...]:
    """What recomputing finds different from what was signed, in sentences; () when nothing is."""
    found = list(_different(signature.shown, now))
    if found and signature.program != program:
        found.append(say("signing.other_program", then=signature.program, now=program))
    return tuple(found)


def _different(then: Shown, now: Shown) -> Iterator[str]:
    if then.get("bearing") != now["bearing"]:
        yield say("signing.bearing_was", then=then.get("bearing"), now=now["bearing"])
    for text in _missing(now["open"], then.get("open", [])):
        yield say("signing.open_now", text=text)
    for text in _missing(then.get("open", []), now["open"]):
        yield say("signing.open_then", text=text)
    for text in _missing(now["run_in"], then.get("run_in", now["run_in"])):
        yield say("signing.run_in_now", text=text)
    there = {one.get("check"): one for one in then.get("checks", [])}
    for one in now["checks"]:
        before = there.pop(one["check"], None)
        if before is None:
            yield say("signing.new_check", title=one["title"])
        else:
            yield from _check(before, one)
    for one in there.values():
        yield say("signing.lost_check", title=one.get("title"))


def _check(before: Shown, one: Shown) -> Iterator[str]:
    if before.get("verdict") != one["verdict"]:
        yield say("signing.check_was", title=one["title"], then=before.get("verdict"), now=one["verdict"])
    if before.get("stale") != one["stale"]:
        yield say("signing.stale_was", title=one["title"], now=one["stale"] or before.get("stale"))
    for text in _missing(one["figures"], before.get("figures", [])):
        yield say("signing.figure_now", title=one["title"], text=text)
    for text in _missing(before.get("figures", []), one["figures"]):
        yield say("signing.figure_then", title=one["title"], text=text)


def _missing(these: Sequence[str], those: Sequence[str]) -> list[str]:
    return [text for text in these if text not in those]
