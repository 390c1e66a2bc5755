"""Sentences of a judgement reckoned on a device, without the record."""

MESSAGES: dict[str, str] = {
    "other_method": "{method}: its verdict needs the record; the readings are kept on this device until then.",
    "no_limit": "There is no limit on the card: the record says more once it can be reached.",
    "stale": "This check no longer counts; the record says why.",
    "ask": "Something in this check must be looked at in the record first.",
    "repeats": "More than one squeeze, or a place read twice: the record must be asked.",
    "not_linear": "The verdict of this bearing needs the record.",
}
