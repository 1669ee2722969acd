"""What is said beside every pressure test, whoever shows it. No import, so that commands stay quick."""

from __future__ import annotations

# Common practice, no source, but for the first: 29 CFR 1910.157(f)(13).
STAND_CLEAR = (
    "water only, all air out, never gas",
    "cage, barrier or shield between shell and people; stand aside, nobody leans over it",
    "trained people; a stamped cylinder only by the holder of a current approval",
    "nameplate and maker's manual first",
)
