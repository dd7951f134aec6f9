"""Molds as a table that is taken out."""

from jobs.models import Mold
from materials.tables.leaving import Column, Table

MOLDS = Table(
    key="molds",
    name="Molds",
    says="finished molds, where each lies and what it has cast",
    rows=lambda: Mold.objects.order_by("pk"),
    columns=(
        Column("Number", "pk"), Column("Job", "job__number"), Column("Title", "job__title"), Column("Mold", "number"),
        Column("Rubber", "rubber__name"), Column("Rubber in it, g", "mass_g"), Column("Made on", "made_on"),
        Column("Place", "place"), Column("Castings", "castings_done"), Column("Last looked at", "looked_at_on"),
        Column("Note", "note"), Column("Ended on", "ended_on"), Column("Why", "ended_why"),
    ),
)  # fmt: skip
