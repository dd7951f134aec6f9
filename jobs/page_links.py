"""Sentences that name a page of a job, with the name made a link to it."""

import re

from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

# A page by its name in a sentence: "choose one on the Mold page".
PAGES = {
    "Piece": "jobs:piece_show",
    "Mold": "jobs:mold_show",
    "Coats": "jobs:coats_show",
    "Shell": "jobs:shell_show",
    "Castings": "jobs:castings_show",
    "Days": "jobs:job_days_show",
}
DECIDED = ("Mold", "Coats", "Shell", "Castings")
_NAMED = re.compile(rf"\b({'|'.join(PAGES)}) page\b")


def linked(text: str, number: int, *, here: str = "") -> SafeString:
    """Link each page of job `number` that a sentence names, except the one at address `here`.

    A sentence that names none speaks of the plan as a whole: where the plan is decided is said after it.
    """
    parts: list[str] = []
    end = 0
    for found in _NAMED.finditer(text):
        address = reverse(PAGES[found[1]], kwargs={"number": number})
        parts.append(format_html("{}", text[end : found.start()]))
        parts.append(found[0] if address == here else format_html('<a href="{}">{}</a>', address, found[0]))
        end = found.end()
    parts.append(format_html("{}", text[end:]))
    if not end:
        ways = [(reverse(PAGES[name], kwargs={"number": number}), name) for name in DECIDED]
        links = format_html_join(", ", '<a href="{}">{}</a>', (way for way in ways if way[0] != here))
        parts.append(format_html(" Change the plan {}: {}.", "here or there" if here in dict(ways) else "there", links))
    return SafeString("".join(parts))
