"""Words that a coach reads for what files keep as numbers."""

from __future__ import annotations

from library.schema import LoadIs, Tempo

LOAD_IS: dict[LoadIs, str] = {
    "each_hand": "load in each hand",
    "total": "total load with the bar",
    "stack": "the stack's number",
    "body": "body weight",
    "band": "a band",
}


def tempo_words(tempo: Tempo) -> str:
    """Return a tempo as it stands on paper: "lift 1 s, lower 3 s"; holds of 0 s are not said."""
    parts = {
        "lift": tempo.lift,
        "hold at the top": tempo.top,
        "lower": tempo.lower,
        "hold below": tempo.bottom,
    }
    return ", ".join(f"{word} {seconds} s" for word, seconds in parts.items() if seconds)
