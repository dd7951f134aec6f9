"""The press: a child process that lays out pages, with bounds on memory and time and no way to a network or a foreign file.

It reads one PressJob as JSON from its parent on standard input and writes the PDF to standard output. It imports no Django,
so it starts quickly, and the layout engine's memory goes back to the system with every print.
"""

import base64
import json
import mimetypes
import re
import sys
import urllib.parse
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

MEMORY_BYTES = 1_610_612_736
CPU_S = 60
NO_PRESS_EXIT = 69

ATTACHED_AT = datetime(2000, 1, 1, tzinfo=UTC)

SCHEME = "studio"
FONT_CSS = """
@font-face { font-family: "Source Sans 3"; font-weight: 400; src: url("studio://font/upright") }
@font-face { font-family: "Source Sans 3"; font-weight: 600; src: url("studio://font/upright") }
@font-face { font-family: "Source Sans 3"; font-weight: 700; src: url("studio://font/upright") }
@font-face { font-family: "Source Sans 3"; font-weight: 400; font-style: italic; src: url("studio://font/italic") }
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFile:
    """A file carried inside the PDF."""

    name: str
    content: bytes
    description: str = ""
    relationship: str = "Alternative"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressJob:
    """All that one print needs."""

    html: str
    paper: str
    pdf_variant: str
    identifier: bytes
    static_folders: tuple[str, ...]
    stylesheets: tuple[str, ...]
    images: dict[str, bytes] = field(default_factory=dict)
    attachments: tuple[PressFile, ...] = ()


def to_json(job: PressJob) -> bytes:
    """Write a job down for the child process."""
    return json.dumps(asdict(job), default=lambda content: base64.b64encode(content).decode()).encode()


def from_json(text: bytes) -> PressJob:
    """Read a job back."""
    raw = json.loads(text)
    return PressJob(
        html=raw["html"],
        paper=raw["paper"],
        pdf_variant=raw["pdf_variant"],
        identifier=base64.b64decode(raw["identifier"]),
        static_folders=tuple(raw["static_folders"]),
        stylesheets=tuple(raw["stylesheets"]),
        images={name: base64.b64decode(content) for name, content in raw["images"].items()},
        attachments=tuple(PressFile(**{**part, "content": base64.b64decode(part["content"])}) for part in raw["attachments"]),
    )


class RefusedAddressError(ValueError):
    """An address that no print may load."""


def _font(name: str) -> Path:
    import fontpkg_source_sans_3

    files = {"upright": "SourceSans3[wght].ttf", "italic": "SourceSans3-Italic[wght].ttf"}
    if name not in files:
        raise RefusedAddressError(f"no such font: {name}")
    return Path(fontpkg_source_sans_3.ROOT) / "files" / files[name]


def _static(name: str, folders: tuple[str, ...]) -> Path:
    for folder in folders:
        root = Path(folder).resolve()
        path = (root / name).resolve()
        if path.is_relative_to(root) and path.is_file():
            return path
    raise RefusedAddressError(f"no such static file: {name}")


def asset(url: str, job: PressJob) -> tuple[bytes, str]:
    """Return what lies at `studio://static/…`, `studio://font/…` or `studio://image/…`; refuse any other address."""
    parts = urllib.parse.urlsplit(url)
    if parts.scheme != SCHEME:
        raise RefusedAddressError(f"prints load nothing from {parts.scheme or 'relative addresses'}")
    name = urllib.parse.unquote(parts.path).lstrip("/")
    if parts.netloc == "font":
        return _font(name).read_bytes(), "font/ttf"
    if parts.netloc == "static":
        return _static(name, job.static_folders).read_bytes(), mimetypes.guess_type(name)[0] or "application/octet-stream"
    if parts.netloc == "image" and name in job.images:
        return job.images[name], _image_type(job.images[name])
    raise RefusedAddressError(f"no such part of the studio: {parts.netloc}/{name}")


def _image_type(content: bytes) -> str:
    """Name a picture's type by its first bytes; only the types that an upload may have are served."""
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    raise RefusedAddressError("a picture must be PNG, JPEG or WebP")


def press(job: PressJob) -> bytes:
    """Lay out one job; raises OSError when the system's text libraries are missing."""
    from weasyprint import CSS, HTML, Attachment
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFetcher(URLFetcher):  # type: ignore[misc]
        """Serve this program's own files; everything else is refused before any handler sees it."""

        def fetch(self, url: str, _headers: Any = None) -> Any:
            content, content_type = asset(url, job)
            return URLFetcherResponse(url, content, {"Content-Type": content_type})

    for known in (urllib.parse.uses_relative, urllib.parse.uses_netloc):
        if SCHEME not in known:
            known.append(SCHEME)
    fonts, fetcher, base = FontConfiguration(), OwnFetcher(), f"{SCHEME}://static/"
    size_css = f"@page {{ size: {'Letter' if job.paper == 'Letter' else 'A4'} }}"
    sheets = [CSS(string=text, url_fetcher=fetcher, font_config=fonts, base_url=base) for text in (FONT_CSS, size_css)]
    sheets += [CSS(url=f"{base}{name}", url_fetcher=fetcher, font_config=fonts) for name in job.stylesheets]
    attachments = [
        Attachment(
            string=part.content,
            name=part.name,
            description=part.description,
            relationship=part.relationship,
            # A fixed time, so that the same input gives the same bytes; the page itself carries its date.
            created=ATTACHED_AT,
            modified=ATTACHED_AT,
        )
        for part in job.attachments
    ]
    content = HTML(string=job.html, base_url=base, url_fetcher=fetcher).write_pdf(
        font_config=fonts,
        stylesheets=sheets,
        attachments=attachments or None,
        pdf_variant=job.pdf_variant,
        pdf_identifier=job.identifier,
        pdf_tags=True,
    )
    return bytes(content)


def _bound() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S + 5))
    if sys.platform.startswith("linux"):
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))


def main() -> int:
    """Print one job from standard input to standard output."""
    _bound()
    job = from_json(sys.stdin.buffer.read())
    try:
        content = press(job)
    except OSError as problem:
        # The layout engine's binding raises a bare OSError that names the library it could not load.
        if re.search(r"cannot load library|pango|harfbuzz|gobject", str(problem), re.IGNORECASE):
            sys.stderr.write(str(problem).splitlines()[0])
            return NO_PRESS_EXIT
        raise
    sys.stdout.buffer.write(content)
    return 0


if __name__ == "__main__":
    sys.exit(main())
