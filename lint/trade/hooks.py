"""Crochet hook sizes: what a letter or number means in millimetres, and back (hooks.toml).

Only millimetres are sure. Letters and numbers differ between makers and charts, so a label may mean several sizes;
every function that takes a label returns all of them. Sources stand beside each row of the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .. import regex
from .tables import is_sure, source_of, table


@dataclass(frozen=True, eq=False)
class Hook:
    """One size. ``mm`` is the shaft's diameter; ``letters`` and ``number`` are the American label (("M", "N"), "13").

    ``old_uk`` are British numbers before metric sizes; ``elsewhere`` labels only some charts give this size. ``sure``
    is False where the row is remembered and was not seen in a chart.
    """

    mm: float
    letters: tuple[str, ...]
    number: str
    old_uk: tuple[str, ...]
    elsewhere: tuple[str, ...]
    source: str
    sure: bool
    note: str = ""

    @property
    def label(self) -> str:
        """The American label as charts print it: "H-8", "M/N-13", "K-10 1/2", "G", "7"; "" where there is none."""
        number = "10 1/2" if self.number == "10.5" else self.number
        return "-".join(part for part in ("/".join(self.letters), number) if part)


@dataclass(frozen=True, eq=False)
class SteelHook:
    """One steel hook for thread: its American number and the diameters, in mm, that charts give it."""

    number: str
    mm: tuple[float, ...]
    source: str
    sure: bool
    note: str = ""


@lru_cache(maxsize=1)
def hooks() -> tuple[Hook, ...]:
    """Every hook of the table, thinnest first, steel ones left out."""
    return tuple(
        Hook(
            mm=float(row["mm"]),
            letters=tuple(row.get("letters", ())),
            number=row.get("number", ""),
            old_uk=tuple(row.get("old_uk", ())),
            elsewhere=tuple(row.get("elsewhere", ())),
            source=source_of("hooks", row),
            sure=is_sure(row),
            note=row.get("note", ""),
        )
        for row in table("hooks")["hook"]
    )


@lru_cache(maxsize=1)
def steel_hooks() -> dict[str, SteelHook]:
    """Every steel hook by its American number, "00" to "14"."""
    rows = table("hooks")["steel"]["number"].items()
    return {
        number: SteelHook(number, tuple(row["mm"]), source_of("hooks", row), is_sure(row), row.get("note", ""))
        for number, row in rows
    }


def steel_spread() -> float:
    """How far, in mm, one maker's steel hook may lie from another's of the same number: about 0.2."""
    return float(table("hooks")["steel"]["spread_mm"])


@dataclass(frozen=True, slots=True)
class _Label:
    letters: frozenset[str]
    number: str
    steel: bool


_NOISE = regex.compile(
    r"\b(?:u\.?\s?s\.?(?:\s?a\.?)?|american|sizes?|hooks?|crochet|number|no)\b\.?|\b(?:us|no\.?)(?=\d)|#", regex.IGNORECASE
)
_HALF = regex.compile(r"(?<=10)(?:\s*½|[\s-]*1[/⁄]2|[.,]50?)(?!\d)")
_LABEL = regex.compile(r"(?P<letters>[a-z](?:\s*[/&-]\s*[a-z])*)?[\s/-]*(?P<number>\d+(?:\.5)?)?")


def _parse(label: str) -> _Label | None:
    text = _NOISE.sub(" ", regex.sub(r"[‐‑‒–—−]", "-", label)).lower()
    without_steel = regex.sub(r"\bsteel\b", " ", text)
    plain = _HALF.sub(".5", without_steel).strip(" -/,.()[]")
    match = _LABEL.fullmatch(plain)
    if match is None or not (match["letters"] or match["number"]):
        return None
    letters = frozenset(regex.findall("[A-Z]", (match["letters"] or "").upper()))
    return _Label(letters, match["number"] or "", without_steel != text)


def _plain_mm(label: _Label) -> set[float]:
    """Sizes of the ordinary hooks a label fits, minority charts counted for a bare letter only."""
    found: set[float] = set()
    for hook in hooks():
        if label.letters <= set(hook.letters) and (label.number in ("", hook.number)):
            found.add(hook.mm)
        if label.letters and not label.number:
            for other in hook.elsewhere:
                parsed = _parse(other)
                if parsed and label.letters <= parsed.letters:
                    found.add(hook.mm)
    return found


def _steel_mm(label: _Label) -> tuple[float, ...]:
    """Sizes of the steel hook a label's number means; () for a label with a letter."""
    hook = None if label.letters else steel_hooks().get(label.number)
    return hook.mm if hook else ()


def _same(one: float, other: float) -> bool:
    """Whether two diameters, in mm, are one size."""
    return abs(one - other) < 0.005


def millimetres(label: str) -> tuple[float, ...]:
    """Every diameter, in mm, that an American label can mean, thinnest first; () where no chart has it.

    Spelling is free: "H-8", "H/8", "h 8", "US H-8", "size H", "K-10½", "M/N-13". A bare number may also be a steel
    hook's, so "7" gives (1.65, 4.5); with the word steel it is a steel hook alone. A letter and number of different
    hooks ("H-9") give (). Source: hooks.toml.
    """
    parsed = _parse(label)
    return _sizes(parsed) if parsed else ()


def _sizes(label: _Label) -> tuple[float, ...]:
    return tuple(sorted({*(() if label.steel else _plain_mm(label)), *_steel_mm(label)}))


def steel(label: str) -> tuple[float, ...]:
    """The diameters, in mm, of the steel hook a number means, thinnest first; () where there is none such.

    Makers differ by about ``steel_spread()``; higher numbers are thinner. Source: hooks.toml.
    """
    parsed = _parse(label)
    return tuple(sorted(_steel_mm(parsed))) if parsed else ()


def ambiguous(label: str) -> bool:
    """True where a label names more than one size, so that only millimetres would settle it ("G", "N", "7")."""
    return len(millimetres(label)) > 1


def labels(mm: float) -> tuple[str, ...]:
    """The American labels of an ordinary hook of ``mm`` millimetres as charts print them; () where there is none."""
    return tuple(hook.label for hook in hooks() if _same(hook.mm, mm) and hook.label)


def steel_labels(mm: float) -> tuple[str, ...]:
    """The American numbers of a steel hook of ``mm`` millimetres; () where there is none."""
    return tuple(h.number for h in steel_hooks().values() if any(_same(size, mm) for size in h.mm))


def old_uk(number: str) -> tuple[float, ...]:
    """The diameters, in mm, of an old British or Canadian number ("8" is 4.0); () where no chart has it."""
    return tuple(hook.mm for hook in hooks() if number.strip() in hook.old_uk)


def agrees(label: str, mm: float) -> bool | None:
    """Does an American label name a hook of ``mm`` millimetres?

    True where a chart says so; False where every chart says otherwise; None where the table leaves a doubt: a label
    no chart has, one that a minority of charts prints for this size, a steel hook within the makers' spread, an old
    British number, or a figure that rounds to the size (3.8 for 3.75). Source: hooks.toml.
    """
    parsed = _parse(label)
    sizes = _sizes(parsed) if parsed else ()
    if any(_same(size, mm) for size in sizes):
        return True
    if parsed is None or not sizes:
        return None
    if any(abs(size - mm) <= 0.0501 for size in sizes):
        return None
    if any(abs(size - mm) <= steel_spread() + 0.001 for size in _steel_mm(parsed)):
        return None
    bare = not parsed.letters and not parsed.steel
    if bare and any(_same(size, mm) for size in old_uk(parsed.number)):
        return None
    near = [hook for hook in hooks() if _same(hook.mm, mm)]
    if any(_parse(other) == parsed for hook in near for other in hook.elsewhere):
        return None
    return False
