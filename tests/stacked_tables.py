"""Reads the tables that become lists on a telephone: each cell must carry its column's heading."""

from html.parser import HTMLParser


class StackedTables(HTMLParser):
    """After `feed`, `complaints` names the cells that say another column's heading, or none."""

    def __init__(self) -> None:
        super().__init__()
        self.complaints: list[str] = []
        self._is_stacked = self._is_heading = self._is_unseen = False
        self._headings: list[str] = []
        self._place = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "table":
            self._is_stacked = "stacked" in given.get("class", "").split()
            self._headings = []
        elif tag == "tr":
            self._place = 0
        elif tag == "th" and given.get("scope") == "col":
            self._is_heading = True
            self._headings.append("")
        elif tag == "span" and "unseen" in given.get("class", "").split():
            self._is_unseen = True
        elif self._is_stacked and tag in {"td", "th"}:
            self._judge(given)

    def _judge(self, given: dict[str, str]) -> None:
        heading = self._headings[self._place : self._place + 1]
        said = given.get("data-of")
        if said is not None and [" ".join(said.split())] != heading:
            self.complaints.append(f"a cell under {heading} says it is {said!r}")
        self._place += int(given.get("colspan", "1"))

    def handle_data(self, data: str) -> None:
        if self._is_heading and not self._is_unseen:
            self._headings[-1] = " ".join((self._headings[-1] + data).split())

    def handle_endtag(self, tag: str) -> None:
        if tag == "th":
            self._is_heading = False
        elif tag == "span":
            self._is_unseen = False


def complaints_of(text: str) -> list[str]:
    reader = StackedTables()
    reader.feed(text)
    reader.close()
    return reader.complaints
