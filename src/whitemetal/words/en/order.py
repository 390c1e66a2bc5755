"""Names of the groups of gauging methods."""

MESSAGES: dict[str, str] = {
    "joint": "Joint and seat",
    "crush": "Crush",
    "contact": "Contact",
    "clearance": "Oil clearance",
    "journal": "Journal",
    "parts": "Rings, seals and other parts",
    "machine": "The machine",
}
