"""A browser without scripts: reads the forms of a page as they stand, fills them in and presses their buttons."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.test import Client
from django.utils.datastructures import MultiValueDict
from django.utils.http import urlencode

Attributes = dict[str, str]
VOID = {"input", "img", "meta", "link", "br", "hr", "wbr", "area", "base", "col", "embed", "source", "track"}


@dataclass
class Element:
    """One element of a page, as a browser's parser makes it: its name, its attributes and the text in it."""

    tag: str
    attributes: Attributes
    text: str = ""


@dataclass
class PageForm:
    """A form as it was sent to the browser."""

    attributes: Attributes
    values: MultiValueDict = field(default_factory=MultiValueDict)
    names: set[str] = field(default_factory=set)
    buttons: list[Element] = field(default_factory=list)


class Page(HTMLParser):
    """All elements of a page, and its forms with what stands in their fields."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[Element] = []
        self.forms: list[PageForm] = []
        self._open: list[Element] = []
        self._form: PageForm | None = None
        self._select: Element | None = None
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = Element(tag, {name: value or "" for name, value in attrs})
        self.elements.append(found)
        if tag not in VOID:
            self._open.append(found)
        if tag == "form":
            self._form = PageForm(found.attributes)
            self.forms.append(self._form)
        if self._form is None:
            return
        name = found.attributes.get("name", "")
        if tag == "select":
            self._select = found
            self._form.names.add(name)
        elif tag == "option" and self._select is not None:
            chosen = self._select.attributes["name"]
            if "selected" in found.attributes or chosen not in self._form.values:
                self._form.values[chosen] = found.attributes.get("value", "")
        elif tag == "button":
            self._form.buttons.append(found)
        elif tag == "input" and name:
            self._form.names.add(name)
            self._take(found, name)

    def _take(self, found: Element, name: str) -> None:
        kind, value = found.attributes.get("type", "text"), found.attributes.get("value", "")
        if kind in {"checkbox", "radio"}:
            if "checked" in found.attributes:
                self._form.values[name] = value or "on"
        elif kind not in {"file", "submit"}:
            self._form.values[name] = value

    def handle_endtag(self, tag: str) -> None:
        while any(element.tag == tag for element in self._open):
            closed = self._open.pop()
            if closed.tag == "textarea" and self._form is not None:
                name = closed.attributes.get("name", "")
                self._form.names.add(name)
                self._form.values[name] = closed.text.removeprefix("\r\n").removeprefix("\n")
            if closed.tag == tag:
                break
        if tag == "form":
            self._form = None
        if tag == "select":
            self._select = None

    def handle_data(self, data: str) -> None:
        for element in self._open:
            element.text += data

    @property
    def text(self) -> str:
        """Everything that can be read."""
        return "".join(element.text for element in self.elements if element.tag == "html") or "".join(
            element.text for element in self.elements[:1]
        )

    def form(self, *, having: str = "", saying: str = "") -> PageForm:
        """Return the form with a field of that name, or with a button that says so."""
        for found in self.forms:
            words = [" ".join(button.text.split()) for button in found.buttons]
            if (having and having in found.names) or (saying and saying in words):
                return found
        raise LookupError(f"no form with {having or saying}; there are {[sorted(form.names) for form in self.forms]}")


def press(
    browser: Client, address: str, button: str, changes: Attributes | None = None, *, page: Any = None, **options: Any
) -> Any:
    """Open a page, type into its form and press the button that says so, as a browser without scripts does."""
    page = browser.get(address) if page is None else page
    form = Page(page.content.decode()).form(saying=button)
    pressed = next(found for found in form.buttons if " ".join(found.text.split()) == button)
    unknown = set(changes or {}) - form.names
    assert not unknown, f"{address} has no field {unknown}; it has {sorted(form.names)}"
    data = {**form.values.dict(), **(changes or {})}
    if "name" in pressed.attributes:
        data[pressed.attributes["name"]] = pressed.attributes.get("value", "")
    target = pressed.attributes.get("formaction") or form.attributes.get("action") or address
    if form.attributes.get("method", "get").lower() == "get":
        return browser.get(f"{target}?{urlencode(data)}", **options)
    return browser.post(target, data, **options)
