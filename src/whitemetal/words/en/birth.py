"""Values of birth."""

MESSAGES: dict[str, str] = {
    "label": "value of birth, {place}",
    "step": "last digit of the value of birth",
    "gauge": "gauge of the value of birth ({kind})",
    "known_method": "a method whose values of birth are kept: crown or bridge",
    "known_place": "one of {places}",
    "above_nothing": "a length above nothing",
    "differ": "values of birth of {place} contradict each other: {texts}. Strike the wrong one in the bearing's own book, with the reason.",
    "another": '{by} kept "{text}" for it before. Both are kept and neither counts until one is struck, with the reason.',
    "strikeable": "a value of birth of this bearing that is not struck yet",
    "h_page": "Values of birth",
    "h_new": "Keep values of birth",
    "kept_for_ever": "What the parts measured when they were new, from the stamp or the certificate. Kept for ever: a later value never takes the place of an earlier one, and a wrong one is struck with the reason.",
    "disputed": "contradicts another one: neither counts until one is struck",
    "source": "Where it stands",
    "source_hint": "stamped on the shell, inscribed beside the pad, on the certificate",
    "source_expected": "where these values stand",
    "keep": "Keep for ever",
    "a_reason": "the reason",
}
