"""Sentences of what others are told."""

MESSAGES: dict[str, str] = {
    "after": "a receipt, 0 or more",
    "a_day": "a day as YYYY-MM-DD",
    "do_tell": "tell another program what was signed, left not fit or opened again",
    "help_to": "the address to which each piece of news is posted as JSON",
    "help_place": "file that remembers how far it was told; made if missing",
    "help_secret": "file with a secret; the body's HMAC-SHA-256 by it goes along as Whitemetal-Hmac",
    "help_every": "ask again every so many seconds; 0 tells what there is and ends",
    "an_address": "an address that begins with https:// or http://",
    "refused": "{to} answered {status}: told again next time",
    "unreachable": "{to} cannot be reached ({why}): told again next time",
    "told": "{count} told, up to receipt {after}",
    "a_place": "a file that holds one whole number",
}
