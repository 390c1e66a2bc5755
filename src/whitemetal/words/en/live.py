"""What is said when others wrote meanwhile."""

MESSAGES: dict[str, str] = {
    "seconds": "whole seconds, at most {most}",
    "receipt": "a receipt number as an earlier answer gave it",
    "how_many": "how many, at most {most}",
}
