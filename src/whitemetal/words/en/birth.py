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
    "a_reason": "the reason",
}
