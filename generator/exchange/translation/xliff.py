"""Units as XLIFF 2.1 (OASIS Standard, 13 February 2018), whose core is that of XLIFF 2.0.

Blanks such as `{hold}` and links are `ph` elements, so that no translator's tool lets them be changed. Each entry is a
`file` with a note for every unit; limits stand as size restrictions (its module 3.8), lent translations as notes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from xml.etree import ElementTree

from limberleaf.exchange.sheet import TableError
from limberleaf.exchange.translation.units import Unit
from limberleaf.library.yaml.source import MAX_TEXT
from limberleaf.words import locale_of

CORE = "urn:oasis:names:tc:xliff:document:2.0"
SIZE = "urn:oasis:names:tc:xliff:sizerestriction:2.0"
STATES = {"new": "initial", "reused": "initial", "stale": "initial", "done": "final"}
_XML_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
_CODE = re.compile(r"\{[^{}]*\}|\[\[[^\]|]*\|(?=[^\]]*\]\])|\[\[[^\]|]*\]\]|\]\]")
_SENTENCES = tuple(f"{{{CORE}}}{tag}" for tag in ("source", "target", "data", "note"))


def xliff_text(units: Sequence[Unit], source_language: str, language: str) -> str:
    """Write units as one document, a `file` for each entry."""
    ElementTree.register_namespace("", CORE)
    ElementTree.register_namespace("slr", SIZE)
    directions = {
        key: "rtl"
        for key, tag in (("srcDir", source_language), ("trgDir", language))
        if locale_of(tag).text_direction == "rtl"
    }
    root = ElementTree.Element(
        f"{{{CORE}}}xliff", {"version": "2.1", "srcLang": source_language, "trgLang": language}
    )
    for (folder, name), group in groupby(units, key=lambda unit: (unit.folder, unit.name)):
        mine = list(group)
        file = _add(root, "file", id=f"{folder}.{name}", original=mine[0].path, **directions)
        ElementTree.SubElement(file, f"{{{SIZE}}}profiles", {"generalProfile": "xliff:codepoints"})
        for unit in mine:
            _unit(file, unit)
    _indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, "unicode") + "\n"


def _add(parent: ElementTree.Element, tag: str, **given: str) -> ElementTree.Element:
    return ElementTree.SubElement(parent, f"{{{CORE}}}{tag}", given)


def _unit(file: ElementTree.Element, unit: Unit) -> None:
    made = _add(file, "unit", id=unit.id, name=unit.key)
    made.set(f"{{{SIZE}}}sizeRestriction", str(MAX_TEXT))
    notes = _add(made, "notes")
    _add(notes, "note", category="context").text = unit.note
    if unit.state == "stale":
        text = "The original changed since this was translated. Compare it, change what must change, and confirm it."
        _add(notes, "note", category="stale", priority="1").text = text
    if unit.state == "reused":
        same = unit.like == unit.source
        text = (
            "Lent by a translation of the same words." if same else f"Lent by a translation of: {unit.like}"
        )
        _add(notes, "note", category="reused", priority="1").text = f"{text} Check it and confirm it."
    codes = _codes(unit.source)
    if codes:
        data = _add(made, "originalData")
        for number, code in enumerate(codes, 1):
            _add(data, "data", id=f"d{number}").text = code
    segment = _add(made, "segment", id="s1", state=STATES[unit.state])
    if unit.state in ("stale", "reused"):
        segment.set("subState", f"limberleaf:{unit.state}")
    source = _add(segment, "source")
    source.set(_XML_SPACE, "preserve")
    _inline(source, unit.source, codes)
    if unit.target:
        target = _add(segment, "target")
        target.set(_XML_SPACE, "preserve")
        _inline(target, unit.target, codes)


def _codes(text: str) -> list[str]:
    return list(dict.fromkeys(found[0] for found in _CODE.finditer(text)))


def _inline(element: ElementTree.Element, text: str, codes: Sequence[str]) -> None:
    """Write a text with its codes as `ph`; a code of the target that the source lacks stays text and is found later."""
    at, last = 0, None
    used: dict[str, int] = {}
    for found in _CODE.finditer(text):
        if found[0] not in codes:
            continue
        _say(element, last, text[at : found.start()])
        number = codes.index(found[0]) + 1
        used[found[0]] = used.get(found[0], 0) + 1
        again = "" if used[found[0]] == 1 else f"-{used[found[0]]}"
        given = {
            "id": f"{number}{again}",
            "dataRef": f"d{number}",
            "equiv": found[0],
            "disp": found[0],
            "canDelete": "no",
        }
        last = ElementTree.SubElement(element, f"{{{CORE}}}ph", given)
        at = found.end()
    _say(element, last, text[at:])


def _say(element: ElementTree.Element, last: ElementTree.Element | None, text: str) -> None:
    if last is None:
        element.text = (element.text or "") + text
    else:
        last.tail = (last.tail or "") + text


def _indent(element: ElementTree.Element, level: int = 0) -> None:
    """Lay elements out in lines; sentences stay as they are, since each of their blanks counts."""
    if element.tag in _SENTENCES or not len(element):
        return
    element.text = "\n" + "  " * (level + 1)
    for child in element:
        _indent(child, level + 1)
        child.tail = "\n" + "  " * (level + 1)
    element[-1].tail = "\n" + "  " * level


def read_xliff(name: str, data: bytes) -> tuple[str, list[Unit]]:
    """Give the target language and the units of a document, their states in our words; TableError when it is none."""
    if b"<!DOCTYPE" in data[:4096] or b"<!ENTITY" in data:
        raise TableError(f"{name} holds a document type, which XLIFF has none of; it was not read.")
    try:
        root = ElementTree.fromstring(data)  # noqa: S314 - without a document type there is nothing to expand
    except ElementTree.ParseError as error:
        raise TableError(f"{name} cannot be read as XML: {error}. Export it again from your tool.") from None
    if root.tag != f"{{{CORE}}}xliff":
        raise TableError(f"{name} is not XLIFF 2. Export it as XLIFF 2.0 or 2.1 from your tool.")
    language = root.get("trgLang", "")
    if not language:
        raise TableError(f"{name} does not say its target language (trgLang).")
    return language.split("-")[0].lower(), list(_read_units(root))


def _read_units(root: ElementTree.Element) -> Iterator[Unit]:
    for element in root.iter(f"{{{CORE}}}unit"):
        folder, _, rest = element.get("id", "").partition(".")
        name, _, key = rest.partition(".")
        codes = {one.get("id", ""): one.text or "" for one in element.iter(f"{{{CORE}}}data")}
        source = target = ""
        confirmed = True
        for segment in element.iter(f"{{{CORE}}}segment"):
            source += _plain(segment.find(f"{{{CORE}}}source"), codes)
            target += _plain(segment.find(f"{{{CORE}}}target"), codes)
            confirmed = confirmed and segment.get("state", "initial") != "initial"
        loc = tuple(int(step) - 1 if step.isdigit() else step for step in key.split("."))
        yield Unit(
            folder,
            name,
            loc,
            source,
            target,
            "done" if confirmed and target else "reused" if target else "new",
        )


def _plain(element: ElementTree.Element | None, codes: dict[str, str]) -> str:
    if element is None:
        return ""
    text = element.text or ""
    for child in element:
        if child.tag == f"{{{CORE}}}ph":
            text += codes.get(child.get("dataRef", ""), child.get("equiv", ""))
        else:
            text += _plain(child, codes)
        text += child.tail or ""
    return text
