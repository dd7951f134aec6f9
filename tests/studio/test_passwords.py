"""Rules for passwords."""

import itertools

import pytest
from django.contrib.auth.password_validation import CommonPasswordValidator, validate_password
from django.core.exceptions import ValidationError

from studio.models import Account, StudioProfile
from studio.services.phrases import easy_to_guess

pytestmark = pytest.mark.django_db

SPREAD = "vk3 quilt ombre jabot lxz 9 fjord wympd "


def sentences(password: str, account: Account | None = None) -> list[str]:
    try:
        validate_password(password, account)
    except ValidationError as refused:
        return refused.messages
    return []


class TestLength:
    @pytest.mark.parametrize(("length", "taken"), [(14, False), (15, True), (64, True), (128, True), (129, False)])
    def test_is_fifteen_to_a_hundred_and_twenty_eight(self, length: int, taken: bool) -> None:
        password = (SPREAD * 4)[:length]
        assert len(password) == length
        assert (sentences(password) == []) is taken

    def test_says_how_long_and_how_much_is_kept(self) -> None:
        assert any("129 characters; at most 128" in sentence for sentence in sentences((SPREAD * 4)[:129]))

    def test_survives_a_million_characters(self) -> None:
        assert any("1,000,000 characters" in sentence for sentence in sentences("x" * 1_000_000))

    def test_wants_no_mix_of_signs(self) -> None:
        assert sentences("quilted fjord jabot") == []


class TestCommonPhrase:
    def test_refuses_three_thousand_that_are_tried_first(self) -> None:
        words = ["password", "letmein", "welcome", "iloveyou", "qwerty", "sunshine", "dragon", "monkey", "football", "princess"]
        tails = ["", "1", "12", "123", "1234", "2024", "2025", "2026", "!", "1!", "123!", "01", "007", "99", "111", "2000"]
        tried = {
            joint.join(pair) + tail
            for pair in itertools.product(words, repeat=2)
            for joint in ("", " ", "-", "_")
            for tail in tails
        }
        tried = {password for password in tried if len(password) >= 15}
        assert len(tried) > 3_000
        assert [password for password in sorted(tried) if not easy_to_guess(password)] == []

    @pytest.mark.parametrize(
        "password",
        [
            "aaaaaaaaaaaaaaaa", "abcabcabcabcabcabc", "passwordpassword", "123456789012345", "987654321098765",
            "qwertyuiopasdfgh",
            "1qaz2wsx3edc4rfv", "poiuytrewqlkjhgf", "abcdefghijklmnop", "P@ssw0rdP@ssw0rd", "Iloveyouforever1",
            "letmeinletmein!!",
            "maytheforcebewithyou", "To be or not to be", "correct horse battery staple",
            "correcthorsebatterystaple", "thequickbrownfox1",
            "mynameisnobody12", "Summer2025Winter", "0000000000000000", "121212121212121", "zyxwvutsrqponmlk",
            "welcome welcome",
        ],
    )  # fmt: skip
    def test_refuses_words_runs_and_repeats(self, password: str) -> None:
        assert any("tried first" in sentence for sentence in sentences(password))

    def test_refuses_the_framework_s_own_long_entries(self) -> None:
        """Independent check: the list of 20,000 common passwords that Django ships."""
        long = [entry for entry in CommonPasswordValidator().passwords if len(entry) >= 15]
        assert len(long) >= 40
        assert [entry for entry in long if not sentences(entry)] == []

    @pytest.mark.parametrize(
        "password",
        [
            "wet plaster on the third shelf", "seven clay pots by the canal", "grüne Leiter im Keller",
            "k3Vd-9xQp-mW7t-zzL2", "зелёная лестница в подвале",
            "narrow stairs, blue teapot", "three geese crossed Elm road", "?k*Zq~)vR3+'xT\"8",
        ],
    )  # fmt: skip
    def test_takes_what_is_not(self, password: str) -> None:
        assert sentences(password) == []


class TestOwnWords:
    def test_do_not_count_towards_the_length(self) -> None:
        StudioProfile.objects.update_or_create(pk=1, defaults={"name": "Kestrel Mouldworks"})
        ada = Account(name="Ada Wintergreen", email="ada.w@studio.example")
        for password in ("Kestrel Mouldworks", "handlaid-handlaid-7", "wintergreen ladder", "ada.w fjord jabot"):
            assert any("does not count" in sentence for sentence in sentences(password, ada)), password
        assert sentences("wintergreen ladder over a cold fjord", ada) == []

    def test_of_others_are_no_matter(self) -> None:
        assert sentences("wintergreen ladder", Account(name="Bo", email="bo@studio.example")) == []
