"""Pages of HTML: one file, no script, nothing fetched. Built as a tree, so that no word of a manuscript can be markup."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element, tostring

from ..words import printable

Child = Element | str | None | Iterable["Child"]

STYLE = """
:root { color-scheme: light dark; --paper: #fff; --ink: #1b1b1b; --soft: #595959; --line: #c9c9c9; --second: #15528c;
  --wrong: #a3130f; --query: #7a4b00; --style: #0b5a66; --suggestion: #3d3f8a; --band: #f6d3d0; --shade: #f4f4f2; }
@media (prefers-color-scheme: dark) { :root { --paper: #17181a; --ink: #ececec; --soft: #b3b3b3; --line: #4a4c50;
  --second: #8fc1f2; --wrong: #ff9d96; --query: #f2c267; --style: #7fd3e0; --suggestion: #b9bcff; --band: #5a2a28;
  --shade: #222427; } }
* { box-sizing: border-box; }
html { background: var(--paper); color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
body { max-width: 72rem; margin: 0 auto; padding: 1rem; overflow-wrap: break-word; }
h1 { font-size: 1.6rem; line-height: 1.2; } h2 { font-size: 1.3rem; border-bottom: 2px solid var(--line); padding-bottom: .2rem; }
h3 { font-size: 1.1rem; } h4 { font-size: 1rem; margin-bottom: .3rem; }
a { color: inherit; } a:focus-visible, [tabindex]:focus-visible, summary:focus-visible { outline: 3px solid var(--second); outline-offset: 2px; }
.skip { position: absolute; left: -100vw; } .skip:focus { left: 1rem; top: 0; background: var(--paper); padding: .5rem; }
.soft { color: var(--soft); } .quiet { list-style: none; padding-left: 0; }
.scroll { overflow-x: auto; border: 1px solid var(--line); }
table { border-collapse: collapse; font-size: .9rem; line-height: 1.35; font-variant-numeric: tabular-nums; }
caption { text-align: left; padding: .3rem .5rem; color: var(--soft); }
th, td { padding: .2rem .5rem; text-align: left; vertical-align: top; border-bottom: 1px solid var(--line); }
thead th { vertical-align: bottom; } .n { text-align: right; }
tbody th { font-weight: 600; white-space: nowrap; } tbody th .soft { font-weight: 400; } .wide { min-width: 17rem; } .kinds { min-width: 7rem; }
tr:target, :target { background: var(--shade); outline: 2px solid var(--second); }
.differs, .wrong { color: var(--wrong); } .assumed, .unread, .query { color: var(--query); }
.style { color: var(--style); } .suggestion { color: var(--suggestion); }
strong.differs, td.differs, strong.wrong { font-weight: 700; }
@media print {
  :root { color-scheme: light; --paper: #fff; --ink: #000; --soft: #333; --line: #999; --second: #000; --wrong: #000; --query: #000;
    --style: #000; --suggestion: #000; --band: #ddd; --shade: #fff; }
  html { font-size: 9.5pt; } body { max-width: none; padding: 0; } .skip, nav { display: none; }
  .scroll { overflow: visible; border: 0; } thead { display: table-header-group; } tr, figure, li { break-inside: avoid; }
  h2, h3, h4, caption { break-after: avoid; } article + article { break-before: page; }
}
"""


def e(tag: str, *children: Child, **attributes: str | None) -> Element:
    """An element. A trailing underscore of an attribute is dropped, any other is a hyphen; None leaves it out."""
    made = Element(tag, {k.rstrip("_").replace("_", "-"): _clean(v) for k, v in attributes.items() if v is not None})
    last: Element | None = None
    for child in _flat(children):
        if isinstance(child, str):
            if last is None:
                made.text = (made.text or "") + _clean(child)
            else:
                last.tail = (last.tail or "") + _clean(child)
        else:
            made.append(child)
            last = child
    return made


def _flat(children: Iterable[Child]) -> Iterator[Element | str]:
    for child in children:
        if child is None:
            continue
        if isinstance(child, str | Element):
            yield child
        else:
            yield from _flat(child)


def _clean(text: str) -> str:
    """Text without characters that a page may not hold."""
    return text if text.isascii() and text.isprintable() else "".join(map(printable, text))


def page(title: str, style: str, *body: Child, ascii_only: bool = False) -> str:
    """The whole page; ``ascii_only`` writes every other character as a reference to it."""
    whole = e(
        "html",
        e(
            "head",
            e("meta", charset="utf-8"),
            e("meta", name="viewport", content="width=device-width, initial-scale=1"),
            e("title", title),
            _style(STYLE + style),
        ),
        e("body", e("a", "Skip to the report", class_="skip", href="#report"), *body),
        lang="en",
    )
    written = tostring(whole, encoding="us-ascii", method="html").decode("ascii") if ascii_only else tostring(whole, encoding="unicode", method="html")
    return f"<!DOCTYPE html>\n{written}\n"


def _style(words: str) -> Element:
    made = Element("style")
    made.text = words  # as it is: the rules of a style sheet are not text of the page
    return made


def scrolled(table: Element, name: str) -> Element:
    """A wide table in a frame of its own, which a keyboard can reach and move in."""
    return e("div", table, class_="scroll", role="region", aria_label=name, tabindex="0")
