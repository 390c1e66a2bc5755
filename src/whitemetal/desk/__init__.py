"""The desk: the verbs. Both faces call only this; it loads, folds, judges and keeps."""

from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import (
    BearingRow,
    BearingView,
    JobRow,
    JobView,
    Kept,
    KeptCard,
    MachineRow,
    Revision,
    Writer,
)  # fmt: skip

__all__ = [
    "BearingRow",
    "BearingView",
    "Desk",
    "JobRow",
    "JobView",
    "Kept",
    "KeptCard",
    "MachineRow",
    "Revision",
    "Writer",
]
