"""Sentences of a judgement reckoned on a device, without the record."""

MESSAGES: dict[str, str] = {
    "here": "Reckoned on this device, not in the record yet.",
    "line": "{diametral} {unit} diametral, {radial} {unit} radial, ± {u}: {word}.",
    "strip": "on this device: {diametral} {unit}, {word}",
    "below": "Below stands what the record said before: it does not know yet of what waits on this device.",
    "empty": "Places still to read before this device can judge: {count}.",
    "asks": "This device cannot tell from these readings: the record must be asked. They are kept here until then.",
    "nothing": "This device has not taken this check's weights along: the verdict comes from the record. The readings are kept here until then.",
    "between": "The readings leave it open on this device; the record may say more. Do not close on it.",
    "rule": "Decision rule: {rule}.",
    "other_method": "{method}: its verdict needs the record; the readings are kept on this device until then.",
    "no_limit": "There is no limit on the card: the record says more once it can be reached.",
    "stale": "This check no longer counts; the record says why.",
    "ask": "Something in this check must be looked at in the record first.",
    "repeats": "This device has not taken along the weights of so many squeezes: the record must be asked. The readings are kept here until then.",
    "scatter": "Readings at one place differ by more than the scale of the gauge explains: the record weighs how they scatter. They are kept here until then.",
    "not_linear": "The verdict of this bearing needs the record.",
}
