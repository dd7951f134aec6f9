"""The materials app."""

from django.apps import AppConfig


class MaterialsConfig(AppConfig):
    """Register what this app prints and what its labels open."""

    name = "materials"

    def ready(self) -> None:
        """Make the prints of the shelf known to the outbox, and lots and bins to their codes."""
        from django.urls import reverse

        from materials import codes
        from materials.documents import BOOK_KIND, BOOK_WITH_MONEY_KIND, RESULT_KIND, SHEET_KIND
        from materials.documents.counting import render_result, render_sheet
        from materials.documents.stock_book import render_stock_book, render_stock_book_with_money
        from materials.labels import kinds
        from materials.models import Lot, ScrapBin
        from materials.tables import leaving
        from materials.tables.stock_tables import STOCK_TABLES
        from studio.access import Right
        from studio.documents import registry

        registry.register(SHEET_KIND, render_sheet, right=Right.SEE_STOCK)
        registry.register(RESULT_KIND, render_result, right=Right.SEE_STOCK)
        codes.register("l", lambda pk: reverse("materials:lot_show", args=[pk]) if Lot.objects.filter(pk=pk).exists() else None)
        codes.register(
            "b", lambda pk: reverse("materials:scrap_show", args=[pk]) if ScrapBin.objects.filter(pk=pk).exists() else None
        )
        kinds.register(kinds.LabelKind(letter="l", name="lots", choices=kinds.lot_choices, labels=kinds.lot_labels))
        kinds.register(kinds.LabelKind(letter="b", name="scrap bins", choices=kinds.bin_choices, labels=kinds.bin_labels))
        registry.register(BOOK_KIND, render_stock_book, right=Right.SEE_STOCK)
        registry.register(BOOK_WITH_MONEY_KIND, render_stock_book_with_money, right=Right.SEE_MONEY)
        for table in STOCK_TABLES:
            leaving.register(table)
