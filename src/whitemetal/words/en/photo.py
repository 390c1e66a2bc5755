"""What is said of photographs."""

MESSAGES: dict[str, str] = {
    "of": "a check or an entry of this job",
    "caption_long": "a caption of at most {most} letters",
    "empty": "a picture; this file is empty",
    "too_large": "a picture of at most {most} MB",
    "too_many": "a picture of at most {most} million pixels",
    "no_picture": "a picture (JPEG, PNG or WebP); this file is something else",
    "other_kind": "a picture as JPEG, PNG or WebP; this one is HEIC or AVIF. Set the camera to JPEG, or send a copy of it as JPEG",
    "broken": "a whole picture; this one is broken off or damaged. Send it again from the camera",
}
