"""Changes to the studio's profile."""

from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction

from studio.models import StudioProfile
from studio.services.logo import CleanLogo

NOT_BY_FORM = frozenset({"id", "logo"})


@transaction.atomic
def change_profile(*, values: dict[str, Any]) -> StudioProfile:
    """Write checked values of the profile's fields; unknown names are a programming error."""
    profile = StudioProfile.objects.current()
    for name, value in values.items():
        if name in NOT_BY_FORM:
            raise ValueError(f"{name} is not changed by the profile form")
        setattr(profile, name, value)
    profile.full_clean(exclude=["logo"])
    profile.save()
    return profile


def change_logo(*, logo: CleanLogo) -> StudioProfile:
    """Keep a new logo under a random name and forget the old file once the row is saved."""
    profile = StudioProfile.objects.current()
    old_name = profile.logo.name
    profile.logo.save(logo.stored_name, ContentFile(logo.content), save=False)
    profile.save(update_fields=["logo"])
    _forget(old_name)
    return profile


def remove_logo() -> StudioProfile:
    """Do without a logo."""
    profile = StudioProfile.objects.current()
    old_name = profile.logo.name
    profile.logo = ""
    profile.save(update_fields=["logo"])
    _forget(old_name)
    return profile


def _forget(stored_name: str | None) -> None:
    if stored_name:
        storage = StudioProfile._meta.get_field("logo").storage
        transaction.on_commit(lambda: storage.delete(stored_name))
