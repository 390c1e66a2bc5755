"""What the damage guide says."""

MESSAGES: dict[str, str] = {
    "look": "one of {known}",
    "usual": "the usual cause of {look}",
    "possible": "a possible cause of {look}",
    "where": "shows there: {where}",
    "speaks_for": "for it: {text}",
    "speaks_against": "against it; not so: {text}",
}
