"""What is said while a record is copied: moved, backed up, restored."""

MESSAGES: dict[str, str] = {
    "a_file": "a file: a backup is one file that can be carried away",
    "a_record": "a record that is there",
    "new_file": "a file that is not there yet: nothing is ever written over",
    "cannot": "a file that can be written ({why})",
    "do_move": "move a record to another file or database; every chain is walked at both ends",
    "do_backup": "copy a record into one file while others go on working, and walk every chain of the copy",
    "do_restore": "make a record from a backup, in a new file or an empty database, and walk every chain of it",
    "help_from": "the record as it is now: a file or a database's address",
    "help_to": "where it goes: a new file, or the address of an empty database",
    "help_file": "the backup's new file",
    "help_backup": "the backup",
    "help_source": "the record; without one, that of WHITEMETAL_DATABASE",
    "whole": "every chain was walked at both ends",
    "copying": "copying {table}: {count}",
    "moved": "Moved: {entries} entries in {chains} chains of {books} books, {files} photographs; every chain is whole at both ends.",
    "stop_using": "{name} is as it was. Nothing that is written there from now on reaches the new place: serve the new one, and put the old one away. Everybody signs in again.",
    "backed_up": "Backed up to {name}: {entries} entries in {chains} chains of {books} books, {files} photographs; every chain of the copy is whole.",
    "restored": "Restored to {name}: {entries} entries in {chains} chains of {books} books, {files} photographs; every chain is whole.",
}
