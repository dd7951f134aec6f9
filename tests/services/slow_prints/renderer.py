"""A print that takes as long as the test wants."""

import os
import time
from pathlib import Path

from studio.documents.registry import RenderedFile
from studio.models import Document


def render_slowly(document: Document) -> RenderedFile:
    """Note that it began, wait while the test's file `hold` lies there, and return the title."""
    notes = Path(os.environ["HANDLAID_TEST_NOTES"])
    with (notes / "begun").open("a") as file:
        file.write(f"{document.pk} {os.getpid()}\n")
    time.sleep(0.05)
    while (notes / "hold").exists():
        time.sleep(0.02)
    return RenderedFile(f"%PDF {document.title}".encode(), "application/pdf", f"{document.title}.pdf")
