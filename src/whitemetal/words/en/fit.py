"""What the chain of trust says, and the page that shows it."""

MESSAGES: dict[str, str] = {
    "no_crush": "does not apply: the white metal is poured in the cap, so that there is no shell and no crush exists",
    "check_says": "the check {title} ({by}) says: {verdict}",
    "check_stale": "the check {title} ({by}) no longer counts: {why}",
    "against": "{by} closed it by hand ({text}), but {said}",
    "not_by_hand": "{by} closed it by hand, but only a check closes it",
    "nobody": "nobody has closed it: {why}",
    "opened_by": "opened by {by}: {text}",
    "waits_for": "{why}, but it rests on a point still open: {earlier}",
    "outside": "Another check is outside its limits: {title}",
    "asks": "Hold points of another check: {title}",
    "asks_why": "still open: {holds}",
    "do_measure": "Measure it: {ways}.",
    "do_by_hand": "Measure it ({ways}), or close it by hand with a note.",
    "do_look": "Look, then close it by hand with a note.",
    "do_again": "Take the check again in the present state of the fit.",
    "do_look_at_check": "Look at the judgement of the check: it says what would settle it.",
}
