"""Reads a page as a strict visitor: what would be blocked, what has no name, what is double."""

from html.parser import HTMLParser

_NEEDS_LABEL = {"input", "select", "textarea"}
_UNLABELLED = {"hidden", "submit", "button"}
# May hold text of their own, so an inline one of these is what the policy blocks.
_OUTSIDE_ONLY = {"script", "style"}


class PageReader(HTMLParser):
    """After `feed`, `complaints` says what is wrong and `links` where the page leads."""

    def __init__(self) -> None:
        super().__init__()
        self.complaints: list[str] = []
        self.links: list[str] = []
        self.headings: list[str] = []
        self._ids: set[str] = set()
        self._labelled: set[str] = set()
        self._fields: list[dict[str, str]] = []
        self._described: list[str] = []
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        # Data in a page is no script to the policy.
        is_data = given.get("type") == "application/json"
        if tag in _OUTSIDE_ONLY and not given.get("src") and not is_data:
            self.complaints.append(f"inline <{tag}>")
        for name in given:
            if name == "style" or name.startswith("on"):
                self.complaints.append(f"inline {name} on <{tag}>")
            if name in {"src", "href"} and given[name].startswith(("http:", "https:", "//")):
                self.complaints.append(f"{tag} from another host: {given[name]}")
            if name in {"src", "href", "action"} and given[name].lower().startswith("javascript:"):
                self.complaints.append(f"{tag} runs {given[name]}")
        self._name(tag, given)
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        if tag in {"h1", "h2", "h3"}:
            self.headings.append(tag)
        self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop() != tag:
            continue

    def _name(self, tag: str, given: dict[str, str]) -> None:
        own = given.get("id")
        if own is not None:
            if own in self._ids or not own:
                self.complaints.append(f"the id {own!r} stands twice or is empty")
            self._ids.add(own)
        if tag == "label":
            self._labelled.add(given.get("for", ""))
        if tag == "img" and "alt" not in given:
            self.complaints.append(f"picture without words: {given.get('src')}")
        if (
            tag in _NEEDS_LABEL
            and given.get("type") not in _UNLABELLED
            and ("label" not in self._open)
        ):
            self._fields.append(given)
        for name in ("aria-describedby", "aria-labelledby"):
            self._described += given.get(name, "").split()

    def close(self) -> None:
        super().close()
        for given in self._fields:
            named = given.get("aria-label") or given.get("aria-labelledby")
            if not named and given.get("id") not in self._labelled:
                self.complaints.append(f"field without label: {given.get('name')}")
        for one in self._described:
            if one not in self._ids:
                self.complaints.append(f"described by {one}, which is not there")


def read(text: str) -> PageReader:
    reader = PageReader()
    reader.feed(text)
    reader.close()
    return reader
