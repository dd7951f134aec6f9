"""Pulls and a parting that a person fixes on the Shell page."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms

from jobs.forms.angles import AngleField
from jobs.forms.stage_form import LARGEST_REVISION
from jobs.geometry.study.brief import PIECE_COUNTS
from jobs.geometry.study.directions import Direction
from jobs.models import Plan
from studio.web.fields import TypedField
from studio.web.forms import PaperForm, QuantityField

PLACES = 1
FARTHEST_MM = 10_000
LARGEST_COUNT = max(PIECE_COUNTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class PullFields:
    """The two fields of one pull, under its number."""

    number: int
    around: forms.BoundField
    lift: forms.BoundField


class PullsForm(PaperForm):
    """As many pulls as the shell has pieces, each fixed by two angles or left to the search; for two pieces a parting."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=LARGEST_REVISION)

    def __init__(self, *args: Any, plan: Plan, looked: Direction | None = None, **kwargs: Any) -> None:
        """Take the kept pulls, and into the first free one the way from which somebody looked at the piece."""
        self.plan = plan
        self.looked_into = _first_free(plan) if looked is not None else 0
        super().__init__(*args, initial=_kept(plan) | _looked(looked, self.looked_into), **kwargs)
        self.on_board = plan.job.piece.stands_on_board
        lowest = 0 if self.on_board else -90
        for number in self.numbers:
            self.fields[f"around_{number}"] = _angle("Around", -360, 360)
            self.fields[f"lift_{number}"] = _angle("Up", lowest, 90)
        if plan.shell_pieces == 2:
            self.fields["parting_around"] = _angle("Around", -360, 360)
            self.fields["parting_offset"] = QuantityField(
                unit="mm", min_value=-FARTHEST_MM, max_value=FARTHEST_MM, required=False, label="From the middle", places=PLACES,
            )  # fmt: skip
        for field in self.fields.values():
            if isinstance(field, TypedField):
                field.profile = self.profile

    @property
    def numbers(self) -> range:
        """The numbers of the pieces whose pull can be fixed."""
        return range(1, self.plan.shell_pieces + 1) if self.plan.shell_pieces in PIECE_COUNTS else range(0)

    def pulls(self) -> Iterator[PullFields]:
        """Go through the pulls with their fields."""
        for number in self.numbers:
            yield PullFields(number=number, around=self[f"around_{number}"], lift=self[f"lift_{number}"])

    def clean(self) -> dict[str, Any]:
        """Refuse half a pull, and two that are the same."""
        values = super().clean() or {}
        seen: set[tuple[float, float]] = set()
        for number in self.numbers:
            around, lift = values.get(f"around_{number}"), values.get(f"lift_{number}")
            if (around is None) != (lift is None) and not {f"around_{number}", f"lift_{number}"} & set(self.errors):
                missing = "around" if around is None else "lift"
                self.add_error(f"{missing}_{number}", "A fixed pull wants both angles; clear the other one to release it.")
            elif around is not None and lift is not None:
                way = (float(around) % 360 if abs(lift) < 90 else 0.0, float(lift))
                if way in seen:
                    self.add_error(f"around_{number}", "Two pulls are the same; give this one another angle.")
                seen.add(way)
        if (
            values.get("parting_offset") is not None
            and values.get("parting_around") is None
            and "parting_around" not in self.errors
        ):
            self.add_error("parting_around", "Say which way the parting is crossed, or clear its distance to release it.")
        return values

    def plan_values(self) -> dict[str, Any]:
        """Return what was fixed; the search begins anew at its best way."""
        values = self.cleaned_data
        pulls = [
            {"azimuth_deg": float(values[f"around_{number}"]) % 360, "lift_deg": float(values[f"lift_{number}"])}
            for number in self.numbers
            if values.get(f"around_{number}") is not None
        ]
        around, parting = values.get("parting_around"), None
        if around is not None:
            parting = {"azimuth_deg": float(around) % 360, "offset_mm": float(values.get("parting_offset") or 0)}
        return {"pinned_pulls": pulls, "parting": parting, "division_rank": 0}


class TakeWayForm(forms.Form):
    """One of the ways found: as many pieces, and which of those."""

    revision = forms.IntegerField(min_value=0, max_value=LARGEST_REVISION)
    way = forms.RegexField(r"^[234]-[0-9]\Z")

    def plan_values(self) -> dict[str, Any]:
        """Return the decisions that take this way; what was fixed before is released."""
        count, rank = (int(part) for part in self.cleaned_data["way"].split("-"))
        return {"shell_pieces": count, "division_rank": rank, "pinned_pulls": [], "parting": None}


def _angle(label: str, low: int, high: int) -> AngleField:
    return AngleField(min_value=low, max_value=high, required=False, label=label, places=PLACES)


def _first_free(plan: Plan) -> int:
    """Return the number of the first pull that is not fixed, nought when all are."""
    number = len(plan.pinned_pulls) + 1
    return number if number <= plan.shell_pieces and plan.shell_pieces in PIECE_COUNTS else 0


def _looked(looked: Direction | None, number: int) -> dict[str, Any]:
    if looked is None or not number:
        return {}
    return {f"around_{number}": round(looked.azimuth_deg) % 360, f"lift_{number}": round(looked.lift_deg)}


def _kept(plan: Plan) -> dict[str, Any]:
    shown: dict[str, Any] = {"revision": plan.revision}
    for number, pull in enumerate(plan.pinned_pulls, start=1):
        shown |= {f"around_{number}": pull["azimuth_deg"], f"lift_{number}": pull["lift_deg"]}
    if plan.parting:
        shown |= {"parting_around": plan.parting["azimuth_deg"], "parting_offset": plan.parting["offset_mm"]}
    return shown
