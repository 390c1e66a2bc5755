"""A plan and an order alone, without a record: what a script needs."""

from __future__ import annotations

from whitemetal.job.plan_json import order_json, plan_json
from whitemetal.job.planning import order_alone as bore_order
from whitemetal.job.planning import plan_alone as plan

__all__ = ["bore_order", "order_json", "plan", "plan_json"]
