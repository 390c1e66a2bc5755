"""What stands on a job's report and beside the files it is exported to."""

MESSAGES: dict[str, str] = {
    "title": "Report",
    "without_film": "Report without the oil film",
    "not_taken_yet": "No clearance was taken as found.",
    "stripped": "taken apart: {text} ({by}, {at})",
    "change": "{what}{where}: {text} ({by}, {at})",
    "signature": "{by} {part}, {at} UTC; saw the bearing {bearing}, state {state}",
    "concession": "{by} ({engineer}) on {at}, until {until}, against: {points}. Reason: {reason}. Restrictions: {restrictions}",
    "void": "{told}. {why}",
    "film_lacks": "The oil film was not reckoned: the card does not say {what}.",
    "film_fails": "The oil film could not be reckoned: {why}",
    "film_left_out": "The oil film was left out of this report.",
    "film_no_check": "No clearance was measured, so nothing can be said of the oil film.",
    "of_photograph": "{caption} ({by}, {taken})",
    "no_caption": "no caption",
    "file_missing": "This photograph is in the record, its file is not here: {digest}.",
    "alt_photograph": "Photograph: {caption}",
}
