"""Ranges and what came out: each job a line from its P10 to its P90, its dot where it came out, as ratios to its P50."""

from collections.abc import Sequence

from django.utils.safestring import SafeString

from costing.services.calibration import JobOutcome, KindFound
from studio.models import StudioProfile
from studio.web.drawing.canvas import Canvas
from studio.web.quantities import show

WIDTH, LEFT, RIGHT, TOP, ROW = 460.0, 84.0, 12.0, 30.0, 26.0
MOST_ROWS = 24


def calibration_drawing(found: KindFound, profile: StudioProfile) -> SafeString | str:
    """Draw the newest jobs of one quantity; nothing where there is none."""
    jobs = found.jobs[:MOST_ROWS]
    if not jobs:
        return ""
    low, high = _ends(jobs)
    deep = TOP + ROW * len(jobs)
    title = f"{found.kind.label}: ranges and what came out"
    canvas = Canvas(width=WIDTH, height=deep + 26, title=title, description=_words(jobs, found, profile))

    def at(ratio: float) -> float:
        return LEFT + (ratio - low) / (high - low) * (WIDTH - LEFT - RIGHT)

    canvas.line((at(1.0), TOP - 8), (at(1.0), deep), pen="pale-stroke", dashes="3 3")
    canvas.text((at(1.0), TOP - 14), "P50", size=13, anchor="middle", pale=True)
    for number, one in enumerate(jobs):
        y = TOP + ROW * number + ROW / 2
        canvas.text((0, y + 5), f"job {one.job.number}", size=13)
        ends = [at(end / one.outcome.p50) for end in (one.outcome.p10, one.outcome.p90)]
        canvas.line((ends[0], y), (ends[1], y), width=1.8)
        for x in ends:
            canvas.line((x, y - 5), (x, y + 5), width=1.8)
        inside = one.outcome.place == "inside"
        canvas.ring((at(one.outcome.actual / one.outcome.p50), y), 5, fill="ink-fill" if inside else "paper-fill", width=2)
    canvas.text((LEFT, deep + 18), "less than said", size=13, pale=True)
    canvas.text((WIDTH - RIGHT, deep + 18), "more than said", size=13, anchor="end", pale=True)
    return canvas.svg()


def _ends(jobs: Sequence[JobOutcome]) -> tuple[float, float]:
    ratios = [
        value / one.outcome.p50 for one in jobs for value in (one.outcome.p10, one.outcome.p90, one.outcome.actual)
    ] + [1.0]  # fmt: skip
    spare = max(0.06 * (max(ratios) - min(ratios)), 0.02)
    return min(ratios) - spare, max(ratios) + spare


def _words(jobs: Sequence[JobOutcome], found: KindFound, profile: StudioProfile) -> str:
    unit = found.kind.unit
    told = (f"job {one.job.number} came out at {show(one.outcome.actual, unit, profile)}, {one.words}" for one in jobs)
    return "; ".join(told)
