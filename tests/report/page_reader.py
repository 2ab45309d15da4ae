"""Reads a page as a reader or a browser meets it: headings, ids, links, tables, drawings, text."""

from html.parser import HTMLParser


class Page(HTMLParser):
    """What stands on an HTML page. headings: (level, text). ids, links: in order. tables: how many captions, how many column heads without scope."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.headings: list[int] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tags: list[str] = []
        self.heads_without_scope = 0
        self.drawings: list[dict[str, str | None]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = dict(attrs)
        self.tags.append(tag)
        if tag in ("h1", "h2", "h3", "h4"):
            self.headings.append(int(tag[1]))
        if held.get("id"):
            self.ids.append(str(held["id"]))
        if tag == "a":
            self.links.append(str(held.get("href")))
        if tag == "th" and "scope" not in held:
            self.heads_without_scope += 1
        if tag == "svg":
            self.drawings.append(held)

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        """All text of the page, spaces collapsed; styles and drawings' ids not in it."""
        return " ".join(" ".join(self.words).split())
