"""The tones of reasons, troubles and verdicts as pages print them: a word, and the name of its shape."""

from materials.science.compatibility import Outcome, Verdict

WORDS: dict[str, tuple[str, str]] = {"good": ("good", "done"), "look": ("look", "look"), "stop": ("stop", "stop")}
WORST_FIRST = ("stop", "look", "good")
OF_OUTCOME: dict[Outcome, tuple[str, str]] = {
    Outcome.GOOD: ("it cures", "done"),
    Outcome.TEST: ("test first", "look"),
    Outcome.SEAL: ("seal it first", "look"),
    Outcome.REFUSED: ("it does not cure", "stop"),
}


def cure_said(verdict: Verdict) -> str:
    """Say whether a rubber cures, and what to do about it, as remarks and reasons say it."""
    return f"{verdict.reason} {verdict.advice}"
