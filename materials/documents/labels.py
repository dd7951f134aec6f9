"""Sheets of labels as a PDF, each page as large as the sheet."""

from materials.labels.drawing import Wanted, pages
from studio.documents.pdf import render_pdf


def labels_pdf(wanted: Wanted) -> bytes:
    """Lay out the labels; what is too long for its label is refused, never cut."""
    context = {"pages": pages(wanted, outlines=False), "page": wanted.sheet.page}
    return render_pdf("print/labels.html", context, paper="Letter" if wanted.sheet.page == "Letter" else "A4")
