"""What checking an exported file says."""

MESSAGES: dict[str, str] = {
    "no_entries": "a file with entries in it, as this program exports them (JSON, one entry a line, or a zip of these)",
    "json": "a file this program exported: JSON, one entry a line, or a zip of these",
    "too_large": "a file of a size that can be checked here",
    "a_key": "a public key in base64, a blank and a name",
    "seal_good": "signature good, over exactly the entries before it",
    "seal_bad": "SIGNATURE WRONG: this is not what was signed with that key",
    "seal_other": "SIGNATURE OVER OTHER ENTRIES: the state that was signed is not the one the file has before it",
    "seal_stranger": "signature good, but THE KEY IS NOT ON THE LIST of keys",
    "seal_of_another": "signature good, but THE KEY IS SOMEBODY ELSE'S by the list of keys",
    "good": "Whole: {entries} entries of {books} books in {chains} chains, {signatures} signatures good.",
    "bad": "NOT WHOLE: something in this file was altered, is missing, or was signed otherwise:",
    "head": "a file that says of itself what it said when it was exported; this was altered",
    "head_altered": "{name}, what the file says of itself, was altered after it was written.",
    "head_other": "{name} says another end of the job than the entries have: some are missing, or were added.",
    "picture": "{name} was altered after it was kept.",
    "seal": "{at}, {by} ({kind}, key {key}): {said}",
    "seal_known": "{at}, {by} ({kind}, key {key}, known for {owner}): {said}",
    "no_end": "What was left out after the last entry of a device cannot be seen from a file alone, unless a signature covers it.",
    "help_kept": "a record (a file, a backup, a database's address) or a file exported from one; without it, that of --database, else of WHITEMETAL_DATABASE, else whitemetal.sqlite3",
    "help_keys": "lines of public key and name, as `whitemetal people keys` prints them: a signature by any other key is then not good",
}
