"""Sentences of what others are told."""

MESSAGES: dict[str, str] = {
    "after": "a receipt, 0 or more",
    "a_day": "a day as YYYY-MM-DD",
    "do_tell": "tell another program what was signed, left not fit, opened again or is due to be opened: each piece of news is posted once it is there, and again until it is taken",
    "help_to": "the address to which each piece of news is posted as JSON",
    "help_place": "file that remembers how far it was told, one for each address; made if missing",
    "help_secret": "file with a secret that the other program knows too; the body's HMAC-SHA-256 by it goes along as Whitemetal-Hmac",
    "help_every": "ask again every so many seconds; 0 tells what there is and ends",
    "an_address": "an address that begins with https:// or http://",
    "refused": "{to} answered {status}: told again next time",
    "unreachable": "{to} cannot be reached ({why}): told again next time",
    "told": "{count} told, up to receipt {after}",
    "a_place": "a file that tell itself wrote: its first line is a whole number",
    "a_secret": "a file with a secret in it; this one is empty",
}
