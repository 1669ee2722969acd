"""What every page must hold to: balanced tags, one main heading, a label for each input, no style or script in the page."""

from __future__ import annotations

from html.parser import HTMLParser

_VOID = {"meta", "link", "input", "br", "hr", "img"}
_BLOCKS = {"td", "th", "dt", "dd", "p", "li", "h1", "h2", "title", "option", "label", "legend", "small", "a"}
_SHAPES = {"rect", "circle", "path", "use"}  # of SVG: they may close themselves


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.headings: list[str] = []
        self.ids: list[str] = []
        self.labelled: set[str] = set()
        self.inputs: list[tuple[str, bool]] = []
        self.links: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        self._look(tag, said)
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in _SHAPES | {"symbol"}:
            self.wrong.append(f"<{tag}/> closes itself")
        self._look(tag, dict(attrs))

    def _look(self, tag: str, said: dict[str, str | None]) -> None:
        self.wrong += [f"<{tag} {name}>" for name in said if name == "style" or name.startswith("on")]
        is_own_module = tag == "script" and said.get("type") == "module" and (said.get("src") or "").startswith("/static/")
        if tag in ("script", "style", "iframe", "object", "base") and not is_own_module:
            self.wrong.append(f"<{tag}>")
        if tag in ("h1", "h2", "h3"):
            self.headings.append(tag)
        if said.get("id"):
            self.ids.append(said["id"] or "")
        if tag == "label" and said.get("for"):
            self.labelled.add(said["for"] or "")
        if tag in ("input", "select", "textarea") and said.get("type") != "hidden":
            self.inputs.append((said.get("id") or said.get("name") or tag, "label" in self.open))
        if tag in ("a", "form", "link"):
            self.links.append(said.get("href") or said.get("action") or "")

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"</{tag}> closes {self.open[-1] if self.open else 'nothing'}")
        else:
            self.open.pop()
        if tag in _BLOCKS:
            self.text.append(" ")

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "script" and data.strip():
            self.wrong.append("<script> with words of its own")
        self.text.append(data)


def read_page(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader


def text_of(html: str) -> str:
    """The words of a page on one line, no-break spaces as plain ones."""
    return " ".join("".join(read_page(html).text).split())


def faults(html: str) -> list[str]:
    """What is wrong with a page; empty where nothing is."""
    page = read_page(html)
    found = list(page.wrong)
    found += [f"<{tag}> is never closed" for tag in page.open]
    found += [] if page.headings.count("h1") == 1 and page.headings[0] == "h1" else [f"headings {page.headings}"]
    found += [f"id {each} twice" for each in {each for each in page.ids if page.ids.count(each) > 1}]
    found += [f"no label for {name}" for name, inside in page.inputs if not inside and name not in page.labelled]
    found += [f"link away: {link}" for link in page.links if link.startswith(("http", "//", "javascript:"))]
    found += [] if "Pressurised vessels can kill." in html else ["no caution"]
    return found
