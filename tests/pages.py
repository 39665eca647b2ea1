"""Reading a page the way a browser does, with a parser that is not ours, and what every page of ours must keep to."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import html5lib

XHTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"


def parsed(page: str) -> Element:
    """The tree of a page. Raises html5lib.html5parser.ParseError on any error of the markup."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=True).parse(page)


def words(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def all_of(tree: Element, tag: str) -> list[Element]:
    return [e for e in tree.iter() if e.tag in (XHTML + tag, SVG + tag)]


def check(page: str) -> Element:
    """One file, no script, nothing fetched; named landmarks, headings in order, every id once, every link within."""
    tree = parsed(page)
    assert tree.get("lang") == "en"
    assert len(all_of(tree, "main")) == 1 and len(all_of(tree, "h1")) == 1
    assert not any(all_of(tree, tag) for tag in ("script", "link", "img", "iframe", "object", "embed", "base", "form"))
    ids = [i for e in tree.iter() if (i := e.get("id"))]
    assert len(ids) == len(set(ids))
    for element in tree.iter():
        for name, value in element.attrib.items():
            assert not name.startswith("on"), name
            assert name not in ("src", "srcset", "style", "action", "formaction", "background", "poster"), name
            if name.rpartition("}")[2] == "href":
                assert value.startswith("#") and value[1:] in ids, value
            if name in ("aria-labelledby", "aria-describedby"):
                assert all(part in ids for part in value.split()), value
    (style,) = all_of(tree, "style")
    assert not any(w in (style.text or "") for w in ("url(", "@import", "http"))
    assert "@media print" in (style.text or "") and "prefers-color-scheme: dark" in (style.text or "")
    level = 0
    for element in tree.iter():
        if element.tag in {f"{XHTML}h{n}" for n in range(1, 7)}:
            now = int(element.tag[-1])
            assert now <= level + 1, words(element)
            level = now
    for picture in all_of(tree, "svg"):
        if picture.get("aria-hidden") == "true":
            continue
        assert picture.get("role") == "img"
        title, desc = (picture.find(SVG + name) for name in ("title", "desc"))
        assert title is not None and words(title) and desc is not None and words(desc)
        assert picture.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    for table in all_of(tree, "table"):
        assert table.find(XHTML + "caption") is not None
        assert all(th.get("scope") in ("row", "col") for th in all_of(table, "th"))
    return tree
