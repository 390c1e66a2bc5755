"""What closing up says."""

MESSAGES: dict[str, str] = {
    "count": "a number of bolts from {fewest} to {most}",
    "group": "one of: {known}",
    "size": "a thread as written on it: M24, M24 x 2, 3/4 or 1 1/4-7 UNC",
    "grade": "one of {known}",
    "grade_size": "a size that {grade} is made in",
    "share": "a share of the proof load above 0 and up to 0.9",
    "engaged": "the length of thread engaged, above zero",
    "share_source": "75 % of proof, half of what strips the thread, and ± 30 % of scatter: common practice and our own; the maker's torque governs",
    "rows_source": "common practice for two rows: from the middle pair diagonally outwards",
    "circle_source": "cross pattern, as printed with ASME PCC-1 for 4, 6, 8, 12 and 16 bolts (from memory)",
}
