"""Sentences of what a device does for a hand with oil on it."""

MESSAGES: dict[str, str] = {
    "title": "On this device",
    "keys": "Large keys for readings",
    "buzz": "Buzz when a reading is kept",
    "tone": "Tone when a reading is kept",
    "voice": "Read each reading back aloud",
    "awake": "Keep the screen on while a check is open",
    "keys_group": "Keys",
    "rub": "Rub out the last digit",
    "letters": "Letters",
    "next": "Next place",
    "point": "point",
    "alone": "Kept on this device only.",
}
