"""What the style sheets and templates promise: readable colours, no inline styles, every font weight named."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.template import Context, Template

ROOT = Path(settings.BASE_DIR)
CSS = ROOT / "studio" / "static" / "studio" / "css"
SHEETS = sorted(CSS.glob("*.css"))
SCREEN = [sheet for sheet in SHEETS if not sheet.name.startswith("print")]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def tokens(theme: str) -> dict[str, str]:
    text = (CSS / "tokens.css").read_text()
    light, _, rest = text.partition("@media (prefers-color-scheme: dark)")
    dark = rest.partition("@media print")[0]
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", light))
    return found | dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", dark)) if theme == "dark" else found


def luminance(color: str) -> float:
    # published: WCAG 2.2, relative luminance
    channels = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    # published: WCAG 2.2, contrast ratio
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


class TestContrast:
    def test_is_measured_as_published(self) -> None:
        # published: black on white is 21 to 1; #767676 on white is the well-known edge of 4.5 to 1
        assert contrast("#000000", "#ffffff") == pytest.approx(21)
        assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)

    @pytest.mark.parametrize("theme", ["light", "dark"])
    @pytest.mark.parametrize("ground", ["paper", "paper-raised", "paper-sunk"])
    @pytest.mark.parametrize("text", ["ink", "ink-pale", "verdigris", "verdigris-deep", "iron", "ochre"])
    def test_suffices_for_text(self, theme: str, ground: str, text: str) -> None:
        assert contrast(tokens(theme)[text], tokens(theme)[ground]) >= 4.5

    @pytest.mark.parametrize("theme", ["light", "dark"])
    @pytest.mark.parametrize(
        ("text", "ground"),
        [
            ("on-verdigris", "verdigris"),
            ("on-verdigris", "verdigris-deep"),
            ("ink", "iron-wash"),
            ("iron", "iron-wash"),
            ("ink", "ochre-wash"),
            ("ink-pale", "ochre-wash"),
        ],
    )
    def test_suffices_on_coloured_grounds(self, theme: str, text: str, ground: str) -> None:
        assert contrast(tokens(theme)[text], tokens(theme)[ground]) >= 4.5

    @pytest.mark.parametrize("theme", ["light", "dark"])
    @pytest.mark.parametrize("shape", ["line", "verdigris", "iron", "ochre-shape"])
    def test_suffices_for_shapes(self, theme: str, shape: str) -> None:
        assert contrast(tokens(theme)[shape], tokens(theme)["paper"]) >= 3
        assert contrast(tokens(theme)[shape], tokens(theme)["paper-raised"]) >= 3


class TestStyleSheets:
    @pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
    def test_shout_nowhere(self, sheet: Path) -> None:
        assert "!important" not in sheet.read_text()

    @pytest.mark.parametrize("sheet", [sheet for sheet in SCREEN if sheet.name != "tokens.css"], ids=lambda s: s.name)
    def test_take_every_colour_from_the_tokens(self, sheet: Path) -> None:
        assert not re.findall(r"#[0-9a-f]{3,8}\b|rgb\(|hsl\(", re.sub(r"/\*.*?\*/", "", sheet.read_text(), flags=re.DOTALL))

    @pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
    def test_use_only_tokens_that_exist(self, sheet: Path) -> None:
        known = set(re.findall(r"(--[\w-]+):", "".join(each.read_text() for each in SHEETS)))
        assert set(re.findall(r"var\((--[\w-]+)", sheet.read_text())) <= known

    def test_are_all_linked(self) -> None:
        html = Template('{% include "components/styles.html" %}').render(Context())
        # A page may link a sheet of its own.
        pages = (path.read_text() for path in TEMPLATES if "components" not in path.parts)
        linked = set(re.findall(r"studio/css/([\w-]+)\.css", html + "".join(pages)))
        assert {name for name in linked if not name.startswith("print-")} == {sheet.stem for sheet in SCREEN}

    def test_name_the_weights_that_are_used(self) -> None:
        declared = set(re.findall(r"font-weight: (\d+);", (CSS / "fonts.css").read_text()))
        used = {weight for sheet in SHEETS for weight in re.findall(r"font-weight: (\d+);", sheet.read_text())}
        assert used <= declared


class TestTemplates:
    @pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
    def test_hold_no_inline_style_or_script(self, template: Path) -> None:
        text = template.read_text()
        assert not re.search(r"\sstyle\s*=|<style|\son\w+\s*=|javascript:", text)
        assert not re.search(r"<script(?![^>]*\bsrc=)", text)
