"""What goes with a file that a page sends: it is saved and not shown, and can do nothing where it is shown all the same."""

SANDBOX = "default-src 'none'; sandbox"


def download_headers(name: str, content_type: str) -> dict[str, str]:
    """Return the headers of a file to be saved under a name."""
    return {
        "Content-Type": content_type,
        "Content-Disposition": f'attachment; filename="{name}"',
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": SANDBOX,
    }
