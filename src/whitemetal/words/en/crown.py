"""What the crown thickness says."""

MESSAGES: dict[str, str] = {
    "label": "Wear of the crown",
    "no_readings": "No mark has been measured.",
    "flat_anvil": "A flat anvil bridges the curve of the bore, reads thick and hides wear: use a ball.",
    "no_ball": "A ball was laid beside the anvil, but its diameter is not noted.",
    "no_birth": "{where}: {thick} thick now, but no thickness when new is kept for this bearing. What was read is recorded as a thickness only; enter the stamped value among the values of birth of the bearing.",
    "grown": "{where}: it is {more} thicker than when new. Is it the same shell and the same mark?",
    "to_one_side": "At the {end} it wears {difference} more {side}.",
    "sank": "{end}: the shaft has sunk by {drop}; it wears most {degrees}° off the middle, {side}.",
    "thickness": "{where}, thickness",
    "drop": "Drop of the shaft, from the wear",
    "drop_note": "towards the middle of the loaded half, from the three marks of an end",
    "towards": "where it wears most, {end}",
    "towards_note": "from the middle of the loaded half, positive to the right",
    "left": "on the left",
    "right": "on the right",
}
