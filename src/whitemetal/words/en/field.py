"""What the fields of forms are called by people, where the program calls them otherwise."""

MESSAGES: dict[str, str] = {
    "contact_passes": "Passes reckoned for the contact",
    "file": "The file",
    "leaves": "How the bearing is left",
    "lining": "Lining that may still come off",
    "look": "What does it look like?",
    "password": "Password",
    "photograph": "Pictures",
    "procedure": "The plant's changes",
    "purpose": "The check is taken",
    "rule": "Decision rule",
    "sheets": "Sheets to print",
    "stock": "Shims at hand",
}
