"""Sentences of what is kept on a device until the record can be reached."""

MESSAGES: dict[str, str] = {
    "title": "Only on this device",
    "about": "Entered here, not in the record yet. It is sent by itself, in the order in which it was entered, as soon as the record can be reached; sending twice changes nothing.",
    "no_script": "Without scripts nothing is kept on this device: a page that cannot be sent keeps its text in its boxes only.",
    "nothing": "Nothing: everything entered on this device is in the record.",
    "h_limits": "How far this goes",
    "limit_secure": "Over https, or on the machine the record runs on, pages of a job that were opened once come up without a connection.",
    "limit_plain": "Over plain http a page must stay open until there is a connection; what was entered is still kept when it closes, and is sent when any page of the record is opened again.",
    "limit_order": "Two people who entered different things apart are shown both; nothing is decided by a clock.",
    "badge": "{count} only on this device",
    "kept": "Kept on this device. It goes to the record when it can be reached.",
    "nostore": "This browser keeps nothing: write it down, or stay on this page.",
    "stuck": "The record did not take it:",
    "who": "sign in to send",
    "again": "Send again",
    "away": "Throw away",
    "sure": "Throw this entry away? It is nowhere else.",
    "along": "{count} pages of this job can be opened without a connection.",
    "clock_ahead": "This device's clock is {count} minutes ahead of the record's. Entries get the record's time.",
    "clock_behind": "This device's clock is {count} minutes behind the record's. Entries get the record's time.",
}
