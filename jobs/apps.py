"""The jobs app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Register what this app prints, what its sweep pushes again, and what its labels open."""

    name = "jobs"

    def ready(self) -> None:
        """Make the prints of a job known to the outbox."""
        from jobs.documents import PRINTS
        from jobs.documents.buying_list import (
            BUYING_KIND,
            BUYING_WITH_MONEY_KIND,
            render_buying_list,
            render_buying_list_with_money,
        )
        from jobs.documents.day_sheet import render_day_sheet
        from jobs.services.day_sheets import DAY_SHEET_KIND
        from jobs.services.mold_labels import mold_choices, mold_labels, mold_page
        from jobs.services.mold_tables import MOLDS
        from materials import codes
        from materials.labels import kinds
        from materials.tables import leaving
        from studio.access import Right
        from studio.documents import registry

        for one in PRINTS.values():
            registry.register(one.kind, one.render, right=Right.SEE_JOBS)
        registry.register(DAY_SHEET_KIND, render_day_sheet, right=Right.SEE_JOBS)
        registry.register(BUYING_KIND, render_buying_list, right=Right.SEE_STOCK)
        registry.register(BUYING_WITH_MONEY_KIND, render_buying_list_with_money, right=Right.SEE_MONEY)
        codes.register("m", mold_page)
        kinds.register(kinds.LabelKind(letter="m", name="molds", choices=mold_choices, labels=mold_labels))
        leaving.register(MOLDS)
