"""Values of birth."""

MESSAGES: dict[str, str] = {
    "label": "value of birth, {place}",
    "step": "last digit of the value of birth",
    "gauge": "gauge of the value of birth ({kind})",
}
