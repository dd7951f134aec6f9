"""Rules for passwords: long, not too long, not a common phrase, not the studio's own words. No composition rules."""

from typing import TYPE_CHECKING

from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError

from studio.models import StudioProfile
from studio.services.phrases import easy_to_guess, plain

if TYPE_CHECKING:
    from django.contrib.auth.base_user import AbstractBaseUser

PRODUCT_WORDS = ("handlaid", "hand-laid")
SHORTEST = 15
LONGEST = 128
SHORTEST_OWN_WORD = 3


class LongestPasswordValidator:
    """Refuse what is longer than the limit, in words; nothing is ever cut off silently."""

    def __init__(self, max_length: int = LONGEST) -> None:
        self.max_length = max_length

    def validate(self, password: str, user: "AbstractBaseUser | None" = None) -> None:  # noqa: ARG002
        """Raise where the password is too long."""
        if len(password) > self.max_length:
            raise ValidationError(
                f"This password has {len(password):,} characters; at most {self.max_length} are kept. Shorten it.",
                code="password_too_long",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return f"At most {self.max_length} characters."


class CommonPhraseValidator(CommonPasswordValidator):
    """Refuse common passwords and whatever is chained from common words, keyboard runs and digits."""

    def validate(self, password: str, user: "AbstractBaseUser | None" = None) -> None:  # noqa: ARG002
        """Raise where the password is one that is tried first."""
        if len(password) > LONGEST:
            return
        if easy_to_guess(password) or password.casefold().strip() in self.passwords:
            raise ValidationError(
                "This is made of words, runs or repeats that are tried first. Add a few rarer words that have nothing to "
                "do with each other.",
                code="password_too_common",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return "Not a common phrase, a run of keys or a repeat."


class OwnWordsValidator:
    """Names of the studio, the program and the person do not count towards the length."""

    def validate(self, password: str, user: "AbstractBaseUser | None" = None) -> None:
        """Raise where too little is left without the names anybody here would try."""
        if len(password) > LONGEST:
            return
        text, found = password.casefold(), []
        for word in own_words(user):
            if word in text:
                text = text.replace(word, "")
                found.append(word)
        if found and len(text) < SHORTEST:
            raise ValidationError(
                f"“{found[0]}” is a name others would try, so it does not count: {len(text)} characters are left, "
                f"at least {SHORTEST} are needed. Add words or take others.",
                code="password_of_own_words",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return "Names of the studio and your own do not count towards the length."


def own_words(user: "AbstractBaseUser | None") -> list[str]:
    """List the words that somebody who knows the studio or the person would try, the longest first."""
    names = [StudioProfile.objects.current().name, getattr(user, "name", ""), getattr(user, "email", "").split("@")[0]]
    words = set(PRODUCT_WORDS)
    for name in names:
        words |= {name.casefold(), plain(name), *name.casefold().replace(".", " ").replace("-", " ").split()}
    return sorted((word for word in words if len(word) >= SHORTEST_OWN_WORD), key=len, reverse=True)
