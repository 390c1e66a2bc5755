"""Instruments shared by the gauging methods."""

MESSAGES: dict[str, str] = {
    "recorded": "recorded with the instrument",
    "error": "{kind}, permissible error",
    "step": "last digit read",
    "step_source": "half a step either way, from the text as typed",
}
