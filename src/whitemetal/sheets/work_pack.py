"""The work pack: everything a job needs on paper, made for greasy hands and printed on both sides.

What is to be brought, the procedure with boxes to tick, the nuts with order and torque, and the chosen blank
data sheets, each beginning on the side after the one before it. The first page says which were left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from whitemetal.card import LIMITED, Card, Limit
from whitemetal.card.fields import LIMIT_FIGURES
from whitemetal.closing.sequence import Pass
from whitemetal.drawing import Spot, cap_svg
from whitemetal.gauging import method_named
from whitemetal.gauging.tightening.doubts import torque_unit
from whitemetal.gauging.tightening.layout import nuts, sequence_of, turns
from whitemetal.job import shown
from whitemetal.job.procedure.bring import bring
from whitemetal.job.procedure.sheets_wanted import SheetWanted, chosen, sheets_wanted
from whitemetal.job.procedure.step import STAGES, Step
from whitemetal.sheets import text
from whitemetal.sheets.blank_sheet import blank_content
from whitemetal.sheets.head import JobHead, head
from whitemetal.sheets.press import Part, press
from whitemetal.units import clearance_step, show
from whitemetal.words import say
from whitemetal.words.en.pack import MESSAGES


@dataclass(frozen=True)
class LastTaken:
    """What was read last by a method, to compare. purpose, number, day: of its check and job. rows: a place
    or fact, and its text as typed."""

    purpose: str
    number: str
    day: str
    rows: tuple[tuple[str, str], ...]


def work_pack(
    card: Card,
    steps: Sequence[Step],
    sheets: Sequence[str] = (),
    *,
    job: JobHead | None = None,
    address: str = "",
    advice: Mapping[str, Sequence[str]] | None = None,
    last: Mapping[str, LastTaken] | None = None,
    version: str = "",
) -> bytes:
    """The PDF of a work pack. sheets: words of the choice, as of `sheets_wanted.chosen`. address: of the
    job's page, for the QR code; "" outside a record. advice, last: by method. The same input gives the same
    bytes. Raises InputError on a word that names no sheet."""
    job, last = job if job is not None else JobHead(), last or {}
    wanted = sheets_wanted(steps)
    printed = chosen(wanted, sheets)
    within = [_sheet(card, one, job, (advice or {}).get(one.method, ()), last, version) for one in printed]
    pictures = {**({"qr": qr_svg(address)} if address else {}), **_cap(card)}
    data = {
        **head(card, method_named("wire"), job, card.digest, version),
        "title": say("pack.title"),
        "by_hand": True,
        "date": "",
        "leaves": True,
        "address": address,
        "local": any(name in address for name in ("//127.", "//localhost", "//[::1]")),
        "drawn": list(pictures),
        "bring": [[one.name, one.size, one.note] for one in bring(card, steps)],
        "limits": [_limit(one, card) for one in card.limits],
        "stages": _stages(steps, wanted, printed),
        "nuts": _nuts(card),
        "sheets": [_listed(one, last.get(one.method)) for one in printed],
        "left_out": [f"{one.number} {one.title}, {one.purpose}" for one in wanted if one not in printed],
        "defer": say("procedure.defer"),
        "pack": MESSAGES,
    }
    return press("work_pack", text.plain(data), pictures, parts=within)


def _sheet(
    card: Card, wanted: SheetWanted, job: JobHead, advice: Sequence[str], last: Mapping[str, LastTaken],
    version: str,
) -> Part:  # fmt: skip
    """One blank sheet of the pack, with its number, larger boxes and the last readings."""
    own = JobHead(job.number, job.title, wanted.purpose, job.book, job.digest)
    data, pictures = blank_content(card, method_named(wanted.method), advice=advice, job=own, version=version)
    taken = last.get(wanted.method)
    lines: dict[str, Any] = {"head": "", "rows": []}
    if taken is not None:
        said = say("pack.last_head", purpose=taken.purpose, number=taken.number, day=taken.day)
        lines = {"head": said, "rows": [list(row) for row in taken.rows]}
    number = f"{say('pack.sheet')} {wanted.number}"
    own_data = {**data, "part": True, "leaves": True, "number": number, "last": text.plain(lines)}
    return Part(f"s{wanted.number}", "blank_sheet", own_data, pictures)


def qr_svg(address: str) -> str:
    """An address as a QR code, ISO/IEC 18004, at the best level of correction that its size holds: at least a
    seventh of it may be covered by a thumb print."""
    import segno

    made = BytesIO()
    segno.make(address, error="m", micro=False).save(
        made, kind="svg", scale=4, border=4, xmldecl=False, svgns=True, nl=False
    )
    return made.getvalue().decode()


def _cap(card: Card) -> dict[str, str]:
    found, places = sequence_of(card), nuts(card)
    if found is None:
        return {}
    spots = [Spot(p.label, p.axial, p.angle, piece=p.piece) for p in places]
    return {"cap": cap_svg(card, spots, order=turns(found.passes[0]))}


def _nuts(card: Card) -> dict[str, Any]:
    """Order and torque of every round, as text."""
    found, held = sequence_of(card), card.fasteners
    if found is None:
        return {"there": False}
    return {
        "there": True,
        "count": str(held.count),
        "size": " ".join(part for part in (held.size, held.grade) if part),
        "torque": held.torque is not None,
        "source": held.source or say("pack.no_source"),
        "lubricant": held.lubricant or say("pack.no_source"),
        "numbers": [str(number) for number in range(1, (held.count or 0) + 1)],
        "passes": [_pass(one, card) for one in found.passes],
        "loosening": [_pass(one, card) for one in found.loosening],
        "pattern": found.source,
    }


def _pass(one: Pass, card: Card) -> dict[str, Any]:
    torque = say("pack.no_torque_cell")
    if one.torque is not None:
        torque = show(one.torque, torque_unit(card), "torque") if one.share else say("pack.free")
    return {
        "number": str(one.number), "share": f"{100 * one.share:.0f} %", "torque": torque, "last": one.last,
        "order": [str(number) for number in one.order],
    }  # fmt: skip


def _limit(one: Limit, card: Card) -> dict[str, str]:
    """A limit of the card as it was written, in its own basis."""
    low, high, renewal = (_figure(one, key, card) for key in LIMIT_FIGURES)
    basis = f", {one.basis}" if len(LIMITED[one.of].bases) > 1 else ""
    return {
        "of": f"{one.of}{basis}",
        "figures": f"{low or '…'} … {high or '…'}" if low or high else "",
        "renewal": renewal,
        "source": shown.stands_on(one),
    }


def _figure(one: Limit, key: str, card: Card) -> str:
    """A figure as it was typed; of a card made in a script, in the quantity's usual unit."""
    value: float | None = getattr(one, key)
    if value is None:
        return ""
    typed = card.typed.get(f"limit.{card.limits.index(one) + 1}.{key}", "")
    quantity = LIMITED[one.of]
    unit = card.bearing.unit if quantity.dimension == "length" and quantity.unit == "mm" else quantity.unit
    step = clearance_step(unit) if unit in ("mm", "in", "thou") else None
    return typed or show(value, unit, quantity.dimension, step=step)


def _stages(
    steps: Sequence[Step], wanted: Sequence[SheetWanted], printed: Sequence[SheetWanted]
) -> list[dict[str, Any]]:
    sheets = {(one.method, one.purpose): _named(one, one in printed) for one in wanted}
    made = []
    for key in STAGES:
        here = [_step(step, sheets) for step in steps if step.stage == key]
        if here:
            made.append({"title": say(f"procedure.stage_{key}"), "steps": here})
    return made


def _named(sheet: SheetWanted, printed: bool) -> str:
    return say("pack.on_sheet" if printed else "pack.on_no_paper", number=sheet.number)


def _step(step: Step, sheets: Mapping[tuple[str, str], str]) -> dict[str, Any]:
    dropped = step.dropped
    reworded = [one for one in step.changed if one.what == "reworded"]
    return {
        "text": step.text, "why": step.why, "hold": step.hold, "people": step.people, "note": step.note,
        "cautions": [[one.text, one.rules] for one in step.cautions],
        "sheet": sheets.get((step.method, step.purpose), ""),
        "dropped": "" if dropped is None else f"{dropped.by or '–'}: {dropped.why}",
        "gone": dropped is not None,
        "own": any(one.what == "added" for one in step.changed),
        "was": [[one.was, one.by or "–", one.why] for one in reworded],
    }  # fmt: skip


def _listed(one: SheetWanted, last: LastTaken | None) -> dict[str, str]:
    told = "" if last is None else f"{last.purpose}, {last.number}, {last.day}"
    return {"number": str(one.number), "title": one.title, "purpose": one.purpose, "last": told}
