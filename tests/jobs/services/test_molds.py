"""Molds from the day they are opened to their end in a scrap bin."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from jobs.errors import MoldRefused
from jobs.models import Mold
from jobs.services.mold_ends import bring_back, cut_up, cutting_of, fitting_bins, throw_away
from jobs.services.molds import add_mold, count_casting, look_over, mold_lines, molds_for_pages
from materials import ledger
from materials.inputs import specs
from materials.models import Movement, ScrapBin, ScrapCut
from materials.science.material import MaterialSpec
from materials.services.scrap_work import own_minutes
from studio.models import StudioProfile
from tests.factories import MaterialFactory, PackFactory, ScrapBinFactory, planned_job

pytestmark = pytest.mark.django_db


def a_mold(**fields: Any) -> Mold:
    rubber = fields.pop("rubber", None) or MaterialFactory(family="north")
    made_on = timezone.localdate() - timedelta(days=100)
    return add_mold(**{"job": planned_job(), "rubber": rubber, "mass_g": Decimal(2500), "made_on": made_on, **fields})


def rubber_of(mold: Mold) -> MaterialSpec | None:
    return specs([mold.rubber_id or 0]).get(mold.rubber_id or 0)


def cut(mold: Mold, into: ScrapBin | None = None, **typed: Any) -> ScrapCut:
    new_bin = {"label": "New", "chunk_edge_mm": 20, "density_kg_m3": 1100, "washed": True}
    defaults = {"mass_g": Decimal(2376), "minutes": Decimal(24), "cut_on": timezone.localdate(), "person": None, "by": None}
    profile = StudioProfile.objects.current()
    return cut_up(
        mold_id=mold.pk,
        into=into,
        new_bin=new_bin,
        rubber=rubber_of(mold),
        profile=profile,
        **{**defaults, "key": "one-key", **typed},
    )


class TestMolds:
    def test_are_numbered_within_their_job_and_count_castings_once_however_often_sent(self) -> None:
        job = planned_job()
        first, second = a_mold(job=job), a_mold(job=job)
        assert (first.number, second.number, a_mold().number) == (1, 2, 1)
        for _ in range(2):
            count_casting(mold_id=first.pk, stood_at=0)
        assert count_casting(mold_id=first.pk, stood_at=1).castings_done == 2
        with pytest.raises(MoldRefused, match="2 castings stand here now"):
            count_casting(mold_id=first.pk, stood_at=0)
        assert count_casting(mold_id=first.pk, stood_at=2, change=-1).castings_done == 1
        with pytest.raises(MoldRefused, match="less than nought"):
            count_casting(mold_id=second.pk, stood_at=0, change=-1)

    # practice: a tin silicone mold with polyurethane is counted on for 25 to 50 castings, the starter rubber for 35.
    @pytest.mark.parametrize(
        ("done", "word", "left"), [(0, "in use", 35), (25, "look it over at every casting", 10), (36, "at its end", 0)]
    )
    def test_say_how_much_of_their_life_is_left(self, done: int, word: str, left: float) -> None:
        job = planned_job()
        a_mold(job=job, rubber=job.plan.rubber, castings_done=done)
        (line,) = mold_lines(molds_for_pages())
        assert line.left is not None
        assert (line.state[0], line.left.value) == (word, left)

    def test_are_not_looked_over_before_they_are_made(self) -> None:
        mold = a_mold()
        with pytest.raises(MoldRefused, match="not made yet"):
            look_over(mold_id=mold.pk, looked_at_on=date(2001, 1, 1), note="")


class TestCutUp:
    def test_ends_the_mold_and_fills_a_bin_in_one_step_that_is_undone_whole(self) -> None:
        # Worked by hand: 2.376 kg at 22 less 24 min and 6 min/kg of seating at 35 an hour = 52.272 - 14 - 8.316.
        mold = a_mold()
        PackFactory(material=mold.rubber)
        StudioProfile.objects.current()
        StudioProfile.objects.update(labour_rate_per_h=35)
        session = cut(mold)
        assert cut(mold) == session
        kept, line = ScrapBin.objects.get(), Movement.objects.get()
        assert (kept.on_hand_g, kept.chemistry, kept.family) == (2376, "platinum_silicone", "north")
        assert (line.kind, line.value, line.job_number) == ("cut", Decimal("29.9560"), mold.job.number)
        assert line.why.startswith(f"mold 1 of job {mold.job.number}")
        assert kept.origin == f"mold 1 of job {mold.job.number}"
        assert ledger.unbalanced() == []
        mold.refresh_from_db()
        assert (mold.ended_on, mold.ended_why) == (timezone.localdate(), "cut up into “New”")
        assert own_minutes()[0].sessions == 1
        bring_back(mold_id=mold.pk, by=None)
        kept.refresh_from_db()
        mold.refresh_from_db()
        assert (kept.on_hand_g, mold.ended_on, own_minutes()[0].own) == (0, None, None)
        assert cut(mold, kept, key="another-key") != session

    def test_writes_nothing_when_the_ledger_refuses(self) -> None:
        mold = a_mold()
        with pytest.raises(Exception, match="check the mass"):
            cut(mold, mass_g=Decimal(2376), minutes=Decimal(9999))
        mold.refresh_from_db()
        assert (mold.ended_on, ScrapBin.objects.count(), Movement.objects.count()) == (None, 0, 0)

    def test_is_not_undone_once_something_was_taken_from_the_bin(self) -> None:
        mold, kept = a_mold(), ScrapBinFactory(family="north", holding=5000)
        cut(mold, kept)
        used = ledger.issue(of=kept, mass_g=Decimal(1), key="a-cup-of-it", by=None)
        with pytest.raises(MoldRefused, match="nobody knows of which mold"):
            bring_back(mold_id=mold.pk, by=None)
        ledger.reverse(movement=used, key="undo-the-cup", by=None)
        assert bring_back(mold_id=mold.pk, by=None).ended_on is None

    def test_brings_a_mold_back_whose_line_was_undone_in_the_day_book(self) -> None:
        mold = a_mold()
        cut(mold)
        ledger.reverse(movement=Movement.objects.get(), key="undo-in-the-book", by=None)
        mold.refresh_from_db()
        found = cutting_of(mold)
        assert found is not None
        assert found.undone
        assert bring_back(mold_id=mold.pk, by=None).ended_on is None

    @pytest.mark.parametrize(
        ("bin_fields", "says"),
        [({"chemistry": "tin_silicone", "family": "north"}, "would be waste"), ({"family": "south"}, "waste")],
    )
    def test_refuses_a_bin_of_other_rubber(self, bin_fields: dict[str, str], says: str) -> None:
        mold = a_mold()
        kept = ScrapBinFactory(**bin_fields)
        assert fitting_bins(rubber_of(mold)) == []
        with pytest.raises(MoldRefused, match=says):
            cut(mold, kept)

    def test_refuses_rubber_that_nobody_knows_and_a_mold_that_has_ended(self) -> None:
        unknown = a_mold(rubber=MaterialFactory(chemistry="other"))
        with pytest.raises(MoldRefused, match="not known which rubber"):
            cut(unknown)
        throw_away(mold_id=unknown.pk, ended_on=timezone.localdate(), why="torn through")
        with pytest.raises(MoldRefused, match="thrown away: torn through"):
            cut(unknown)

    def test_offers_bins_of_the_same_rubber_the_likest_first(self) -> None:
        mold = a_mold(rubber=MaterialFactory(family="north", properties={"hardness_shore_a": 20}))
        ScrapBinFactory(label="Hard", family="north", hardness_shore_a=40, washed=True)
        ScrapBinFactory(label="Soft", family="north", hardness_shore_a=22, washed=True)
        found = fitting_bins(rubber_of(mold))
        assert [(one.bin.label, one.differs) for one in found] == [
            ("Soft", ()), ("Hard", ("hardness 40 against 20 Shore A",))
        ]  # fmt: skip
