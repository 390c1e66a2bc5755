"""What the methods that fit the clearance through gaps under the upper half have in common to say."""

MESSAGES: dict[str, str] = {
    "scatter": "The readings scatter {ratio:.1f} times as much as the budget explains (chance {percent}): {worst} disagrees most. Look there first; the uncertainty is widened accordingly.",
    "scatter_influence": "scatter beyond the budget",
    "scatter_source": "residuals of the fit, JCGM 100:2008 4.2 and F.2.4.5",
    "front_to_rear": "The clearance changes by {change} from {first} to {last}: tilt, taper or a cocked cap. Find out which before averaging.",
    "squeezes_differ": "{place_name}: the squeezes differ by {difference}; repeats of a whole squeeze should agree within {allowed}.",
    "relative": "{clearance} on a journal of {journal} is {permille} per mille; bearings run between 0.3 and 4. Is the unit right, and is it the diametral value?",
    "other_unit": "{place_name}: {typed} would fit if it were in {unit}. Is the unit right?",
    "end_to_end": "change from {first} to {last}",
    "taper": "change per length",
    "sideways_label": "sideways offset",
    "sideways_note": "positive: the gap is wider on the right",
    "side_clearance": "side clearance (from the card's shape, not measured)",
    "top_clearance_note": "top clearance of a lemon bore, diametral",
}
