"""Codes on labels: short addresses of this studio, `/c/l12` for a lot, `/c/b3` for a bin, `/c/m7` for a mold.

An app further up registers the things it labels itself, so that this one need not know it.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse

# At most nine digits: a longer number is a mistyped or forged code, and no row bears it.
CODE = re.compile(r"(?:^|/c/)([a-z])([1-9][0-9]{0,8})/?(?:[?#]\S*)?$")


@dataclass(frozen=True, slots=True)
class Code:
    """What a code names: the letter of its kind and the row's number."""

    letter: str
    pk: int

    def __str__(self) -> str:
        return f"{self.letter}{self.pk}"

    @property
    def said(self) -> str:
        """The code as a person reads it, large, so that an l is not taken for a one."""
        return str(self).upper()

    @property
    def address(self) -> str:
        """The whole address that a label carries."""
        return f"{settings.PUBLIC_URL}{reverse('code_open', args=[str(self)])}"


# What a code opens: the address of the row's page, or None where no such row is.
Opener = Callable[[int], str | None]
_openers: dict[str, Opener] = {}


def register(letter: str, opener: Opener) -> None:
    """Make a kind of code known; called from an app's `ready()`."""
    _openers[letter] = opener


def page_of(code: Code) -> str | None:
    """Return the address of the page that a code opens."""
    opener = _openers.get(code.letter)
    return opener(code.pk) if opener else None


def read_code(text: str) -> Code | None:
    """Read what a scanner types, a whole address or the bare code; None where it is neither."""
    found = CODE.search(text.strip().lower()[-400:])
    return Code(found[1], int(found[2])) if found else None
