"""A plan and an order as plain JSON values: keys carry units."""

from __future__ import annotations

from typing import Any

from whitemetal.card import Card
from whitemetal.fitting import bore_order_words as words
from whitemetal.fitting.bore_order import Order
from whitemetal.fitting.plan import Plan
from whitemetal.fitting.plan_predict import Foreseen

PLAN_FORMAT = "whitemetal.plan/1"
ORDER_FORMAT = "whitemetal.bore-order/1"


def plan_json(plan: Plan) -> dict[str, Any]:
    """A plan in the format ``whitemetal.plan/1``. Lengths [m]."""
    foreseen = plan.prediction
    return {
        "format": PLAN_FORMAT,
        "works": plan.works,
        "openings": plan.openings,
        "metal_m": plan.metal,
        "shims": plan.shims,
        "shim_work": [
            {"joint": one.joint, "added_m": list(one.added), "taken_m": list(one.taken)}
            for one in plan.work.shims
        ],
        "passes": [
            {"station": one.station, "rough": one.rough, "finishing": one.finishing}
            for one in plan.work.passes
        ],
        "steps": [
            {"kind": one.kind, "opening": one.opening, "text": one.text, "then": list(one.then)}
            for one in plan.steps
        ],
        "clearance": [_foreseen(one) for one in foreseen.clearance],
        "verdict": foreseen.word,
        "probability": foreseen.probability,
        "verdict_if_passes_take_least": foreseen.least_word,
        "verdict_if_passes_take_most": foreseen.most_word,
        "crush": [_foreseen(one) for one in foreseen.crush],
        "crush_verdict": foreseen.crush_word,
        "crush_changes": foreseen.crush_changes,
        "because": list(plan.because),
        "colliding": [{"code": one.code, "where": one.where} for one in plan.colliding],
        "way_out": list(plan.way_out),
        "remarks": list(plan.remarks),
        "assumptions": [{"text": one.text, "source": one.source} for one in plan.assumptions],
        "solver": None if plan.proof is None else vars(plan.proof),
    }


def _foreseen(one: Foreseen) -> dict[str, Any]:
    return {
        "where": one.where, "axial_m": one.axial, "before_m": one.before, "after_m": one.after,
        "least_m": one.least, "most_m": one.most, "u_m": one.u, "verdict": one.word,
        "probability": one.probability,
    }  # fmt: skip


def order_json(card: Card, order: Order) -> dict[str, Any]:
    """An order in the format ``whitemetal.bore-order/1``. Lengths [m] at 20 °C."""
    return {
        "format": ORDER_FORMAT,
        "part": order.part,
        "least_m": order.least,
        "greatest_m": order.greatest,
        "target_m": order.target,
        "grade": order.grade,
        "tolerance_m": order.tolerance,
        "other": {
            "least_m": order.other.least, "greatest_m": order.other.greatest, "u_m": order.other.u,
            "measured": order.other.measured, "source": order.other.source,
        },
        "clearance_least_m": order.clearance_least,
        "clearance_greatest_m": order.clearance_greatest,
        "expanded_m": order.expanded,
        "limits_m": [order.low, order.high],
        "fits": order.fits,
        "shim_when_cut_m": order.shim_when_cut,
        "side_clearance_m": order.side,
        "warnings": list(words.warnings(card, order)),
        "lines": [
            {"label": one.label, "text": one.text, "source": one.source} for one in words.lines(card, order)
        ],
    }  # fmt: skip
