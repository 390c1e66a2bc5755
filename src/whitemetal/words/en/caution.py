"""Cautions: they stand where the hands are. They defer to the maker, local codes and licensed practice."""

MESSAGES: dict[str, str] = {
    "isolated": "Isolated, locked and tried before any hand goes in. This page is no permit.",
    "cap_held": "Cap lifted with tested gear and set on blocks; nobody under it.",
    "fingers": "Fingers out of the joint and off the edge of the shells while anything moves.",
    "lead": "Lead: no eating or smoking; wipe hands and phone; bag the scraps.",
    "before_tightening": "Before tightening: fingers out of the joint, all wires and tools counted.",
    "before_closing": "Before the final closing: wires out equals wires in, grease and blue wiped off.",
    "defer": "The maker's book, local codes and licensed practice come first.",
}
