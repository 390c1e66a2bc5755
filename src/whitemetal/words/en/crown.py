"""What the crown thickness says."""

MESSAGES: dict[str, str] = {
    "label": "Wear of the crown",
    "no_readings": "No mark has been measured.",
    "flat_anvil": "A flat anvil bridges the curve of the bore and reads thin: use a ball.",
    "no_ball": "A ball was laid beside the anvil, but its diameter is not noted.",
    "no_birth": "{where}: no thickness when new is kept for this bearing. What was read is kept; enter the stamped value, or this becomes the value to compare with next time.",
    "grown": "{where}: it is {more} thicker than when new. Is it the same shell and the same mark?",
    "to_one_side": "At the {end} it wears {difference} more {side}.",
    "left": "on the left",
    "right": "on the right",
    "birth": "thickness when new",
}
