"""One measured number with its limit, and how a table of them is printed."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """What was measured; `limit` None means that the number is only told."""

    name: str
    value: float
    limit: float | None = None
    unit: str = "×"
    at_least: bool = False  # the limit is a least value, not a most
    note: str = ""

    @property
    def passes(self):
        if self.limit is None:
            return True
        return self.value >= self.limit if self.at_least else self.value <= self.limit

    def cells(self):
        if self.limit is None:
            limit, verdict = "", ""
        else:
            limit = f"{'≥' if self.at_least else '≤'} {self.limit:g} {self.unit}"
            verdict = "passes" if self.passes else "MISSED"
        return self.name, f"{self.value:.2f} {self.unit}", limit, verdict, self.note


def table(rows):
    cells = [row.cells() for row in rows]
    wide = [max(len(line[column]) for line in cells) for column in range(4)]
    return "\n".join(
        f"{name:<{wide[0]}}  {value:>{wide[1]}}  {limit:<{wide[2]}}  {verdict:<{wide[3]}}  {note}".rstrip()
        for name, value, limit, verdict, note in cells
    )
